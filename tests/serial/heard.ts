import type { RecordLine } from '../../bridge/recording/record.ts';
import type { LinkStatus, SourceListener } from '../../bridge/serial/line-source.ts';

/** A listener that writes down all it is told, in order. */
export class Heard implements SourceListener {
  readonly all: (
    | { kind: 'line' | 'sent'; line: string }
    | { kind: 'record'; record: RecordLine | 'unreadable' }
    | { kind: 'link'; status: LinkStatus }
    | { kind: 'ended' }
  )[] = [];

  lines(lines: string[]): void {
    for (const line of lines) this.all.push({ kind: 'line', line });
  }

  sent(line: string): void {
    this.all.push({ kind: 'sent', line });
  }

  records(records: (RecordLine | 'unreadable')[]): void {
    for (const record of records) this.all.push({ kind: 'record', record });
  }

  link(status: LinkStatus): void {
    this.all.push({ kind: 'link', status });
  }

  ended(): void {
    this.all.push({ kind: 'ended' });
  }

  get lineTexts(): string[] {
    return this.all.flatMap((item) => (item.kind === 'line' ? [item.line] : []));
  }

  /** Sample lines of the board, in order, whichever way they came. */
  get samples(): string[] {
    const records = this.all.flatMap((item) =>
      item.kind === 'record' && item.record !== 'unreadable' && item.record.mark === '<'
        ? [item.record.payload]
        : [],
    );
    return [...this.lineTexts, ...records].filter((line) => line.startsWith('S'));
  }

  /** Each change of the link between up and down, in order. */
  get ups(): boolean[] {
    const ups = this.all.flatMap((item) =>
      item.kind === 'link' && item.status.up !== null ? [item.status.up] : [],
    );
    return ups.filter((up, index) => up !== ups[index - 1]);
  }

  /** All that was said of the link, in order. */
  get linkTexts(): string[] {
    return this.all.flatMap((item) => (item.kind === 'link' ? [item.status.text] : []));
  }

  get text(): string {
    return this.linkTexts.at(-1) ?? '';
  }
}
