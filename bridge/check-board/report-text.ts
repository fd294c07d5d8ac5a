import type { BoardReport } from './report.ts';
import type { StreamFigures } from './stream.ts';
import { offText } from './stream.ts';

const MARKS = { fault: 'FAULT', warn: 'WARN ', note: 'note ' };

/** The report as lines for a terminal. */
export function reportLines(report: BoardReport): string[] {
  return [
    ...identityLines(report),
    ...streamLines(report),
    ...report.senses.map(({ name, wired, values }) =>
      row(name, wired ? `wired, seen: ${values.join(' ')}` : 'not wired'),
    ),
    ...report.answers.map(({ what, text, afterMs }) =>
      row(what, afterMs === null ? text : `${text} (after ${afterMs.toFixed(0)} ms)`),
    ),
    '',
    ...report.findings.map(({ severity, text }) => `${MARKS[severity]} ${text}`),
    verdict(report),
  ];
}

const row = (label: string, value: string): string => `${label.padEnd(34)} ${value}`;

function identityLines({ board, channels, spans }: BoardReport): string[] {
  const seen = (channel: string) => spans.find((span) => span.channel === channel);
  return [
    ...(board === null ? [] : [row('board', `${board.name}, ${board.firmware}, ${board.rateHz} Hz stated`)]),
    ...channels.map(({ channel, minCount, maxCount }) => {
      const span = seen(channel);
      const range =
        span === undefined
          ? 'no count seen'
          : `seen ${span.least} to ${span.most}, ${percent(span.saturatedShare)} at an end`;
      return row(`channel ${channel}`, `span ${minCount} to ${maxCount}; ${range}`);
    }),
  ];
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

function streamLines({ lines, badLines, stream }: BoardReport): string[] {
  return [
    row('lines', `${lines}, of which ${badLines} damaged`),
    ...(stream === null ? [] : figureLines(stream)),
  ];
}

function figureLines(stream: StreamFigures): string[] {
  const { samples, lost, heardS, boots, rateHz, jitterUs, worstUs, clockError } = stream;
  return [
    row('samples', `${samples} in ${heardS.toFixed(1)} s, ${lost} lost, ${boots} boots`),
    row('rate', `${rateHz.toFixed(3)} Hz by the board's clock`),
    row('jitter of tUs', `${jitterUs.toFixed(1)} µs standard deviation, ${worstUs.toFixed(0)} µs at most`),
    ...(clockError === null
      ? []
      : [row("board's clock", `${offText(clockError, 2)} against this computer's`)]),
  ];
}

function verdict({ lines, keepsFormat, findings }: BoardReport): string {
  if (lines === 0) return 'Nothing was heard: whether the board keeps to wire format 1 can not be told.';
  if (!keepsFormat) return 'The board breaks wire format 1 (firmware-protocol/SPEC.md).';
  const rest = findings.length === 0 ? '' : '; see above for what remains';
  return `The board keeps to wire format 1${rest}.`;
}
