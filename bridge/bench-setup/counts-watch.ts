import { decodeLine } from '../../firmware-protocol/decode.ts';
import { type HeldCounts, type HeldReading, hasMoved } from '../bench/calibrate.ts';
import { plainMean } from '../calc-core/plain-mean.ts';
import { Board, type Sample } from '../samples/board.ts';

/** The newest counts of a board; null for what it does not have, or not sensed. */
export interface BoardCounts {
  board: { name: string; firmware: string; rateHz: number } | null;
  channels: string[];
  pos: number | null;
  gal: number | null;
  drv: number | null;
  contact: boolean | null;
  cell: number | null;
  row: number | null;
  saturated: boolean;
}

/** What a board says right now, in counts, without a bench file: for setting a bench up. */
export class CountsWatch {
  readonly #board = new Board();
  readonly #holds = new Set<(sample: Sample) => void>();
  #last: Sample | null = null;

  hear(line: string): void {
    const frame = decodeLine(line);
    if (frame.type === 'H' || frame.type === 'C') this.#board.introduce(frame);
    if (frame.type !== 'S' || !this.#board.canRead(frame)) return;
    this.#last = this.#board.read(frame, frame.tUs, false);
    for (const take of this.#holds) take(this.#last);
  }

  counts(): BoardCounts {
    const { hello } = this.#board;
    const last = this.#last;
    return {
      board: hello === null ? null : { name: hello.board, firmware: hello.firmware, rateHz: hello.rateHz },
      channels: this.#board.channels,
      pos: last?.pos ?? null,
      gal: last?.gal ?? null,
      drv: last?.drv ?? null,
      contact: last?.contact ?? null,
      cell: last?.cell ?? null,
      row: last?.row ?? null,
      saturated: last !== null && (last.galSaturated !== 0 || last.posSaturated),
    };
  }

  /** Takes the next samples and answers their means; null where too few came in time. */
  hold(samples: number, timeoutMs: number): Promise<HeldReading | null> {
    const taken: Sample[] = [];
    return new Promise((resolve) => {
      const end = (held: HeldReading | null) => {
        this.#holds.delete(take);
        clearTimeout(timer);
        resolve(held);
      };
      const take = (sample: Sample) => {
        taken.push(sample);
        if (taken.length >= samples) end(heldReading(taken));
      };
      const timer = setTimeout(() => end(taken.length < 2 ? null : heldReading(taken)), timeoutMs);
      this.#holds.add(take);
    });
  }
}

function heldReading(samples: readonly Sample[]): HeldReading {
  const contacts = new Set(samples.map((sample) => sample.contact));
  const places = samples.flatMap(({ pos }) => (pos === null ? [] : [pos]));
  return {
    samples: samples.length,
    pos: heldCounts(samples.map((sample) => sample.pos)),
    gal: heldCounts(samples.map((sample) => sample.gal)),
    drv: heldCounts(samples.map((sample) => sample.drv)),
    contact: onlyOne(contacts),
    row: onlyOne(new Set(samples.map((sample) => sample.row))),
    steady: contacts.size === 1 && !hasMoved(places),
    galSaturated: samples.some((sample) => sample.galSaturated !== 0),
  };
}

const onlyOne = <Value>(values: ReadonlySet<Value>): Value | null =>
  values.size === 1 ? [...values][0] : null;

function heldCounts(values: readonly (number | null)[]): HeldCounts | null {
  const counts = values.filter((value) => value !== null);
  if (counts.length < 2) return null;
  const { mean, standardDeviation } = plainMean(counts);
  return { mean, standardDeviation: standardDeviation ?? 0 };
}
