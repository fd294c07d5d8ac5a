import type { ChannelFrame, HelloFrame, SampleFrame } from '../../firmware-protocol/frames.ts';
import { FLAGS, SENSES } from '../../firmware-protocol/frames.ts';

/** What the board has said of itself, and samples read in its light. */

export interface Span {
  minCount: number;
  maxCount: number;
}

/** A sample with the board's own words on it; null where the board does not sense or measure something. */
export interface Sample {
  tUs: number;
  /** Samples are missing, or the board has started anew, just before this one. */
  afterGap: boolean;
  gal: number | null;
  /** +1 or -1 where the galvanometer count lies at the upper or lower end of its span, else 0. */
  galSaturated: -1 | 0 | 1;
  pos: number | null;
  posSaturated: boolean;
  drv: number | null;
  /** At the upper end of its span. The lower end is where a one-way meter reads no current, and is believed. */
  drvSaturated: boolean;
  contact: boolean | null;
  cell: number | null;
  protect: boolean | null;
  load: boolean | null;
  /** 0 where the board senses rows and found none. */
  row: number | null;
}

export class Board {
  hello: HelloFrame | null = null;
  private sensed = 0;
  private readonly spans = new Map<string, Span>();

  introduce(frame: HelloFrame | ChannelFrame): void {
    if (frame.type === 'H') {
      this.hello = frame;
      this.sensed = frame.senses;
    } else this.spans.set(frame.channel, { minCount: frame.minCount, maxCount: frame.maxCount });
  }

  get channels(): string[] {
    return [...this.spans.keys()];
  }

  span(channel: 'gal' | 'pos' | 'drv'): Span | null {
    return this.spans.get(channel) ?? null;
  }

  senses(what: keyof typeof SENSES): boolean {
    return (this.sensed & SENSES[what]) !== 0;
  }

  /** A sample can be read once `H` and the spans of all its channels are known. */
  canRead(frame: SampleFrame): boolean {
    return (
      this.hello !== null &&
      (frame.gal === null || this.spans.has('gal')) &&
      (frame.pos === null || this.spans.has('pos')) &&
      (frame.drv === null || this.spans.has('drv'))
    );
  }

  read(frame: SampleFrame, tUs: number, afterGap: boolean): Sample {
    const { flags } = frame;
    const { sensed } = this;
    return {
      tUs,
      afterGap,
      gal: frame.gal,
      galSaturated: saturation(frame.gal, this.spans.get('gal')),
      pos: frame.pos,
      posSaturated: saturation(frame.pos, this.spans.get('pos')) !== 0,
      drv: frame.drv,
      drvSaturated: saturation(frame.drv, this.spans.get('drv')) === 1,
      contact: (sensed & SENSES.contact) !== 0 ? (flags & FLAGS.contact) !== 0 : null,
      cell: (sensed & SENSES.cellKey) !== 0 ? (flags >> FLAGS.cellShift) & FLAGS.cellMask : null,
      protect: (sensed & SENSES.protect) !== 0 ? (flags & FLAGS.protect) !== 0 : null,
      load: (sensed & SENSES.load) !== 0 ? (flags & FLAGS.load) !== 0 : null,
      row: (sensed & SENSES.row) !== 0 ? frame.row : null,
    };
  }
}

function saturation(count: number | null, span: Span | undefined): -1 | 0 | 1 {
  if (count === null || span === undefined) return 0;
  if (count >= span.maxCount) return 1;
  return count <= span.minCount ? -1 : 0;
}
