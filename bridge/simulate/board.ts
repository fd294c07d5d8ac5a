import {
  encodeBoardEvent,
  encodeChannel,
  encodeHello,
  encodeSample,
} from '../../firmware-protocol/encode.ts';
import { FLAGS, SENSES } from '../../firmware-protocol/frames.ts';
import { diary } from './diary.ts';
import { type Analog, convert } from './front-end.ts';
import type { Physical } from './live-bench.ts';
import type { BoardOptions } from './scene.ts';

/** The board as it talks: samples with sequence number and clock, `H` and `C` when they are due. */
export interface BoardModel {
  /** Lines that the board sends at a sample, in order. */
  sample(physical: Physical, analog: Analog): string[];
  /** Starts anew: clock and sequence numbers from 0, `H` and `C` first. */
  reboot(tS: number): void;
}

const HELLO_EVERY_S = 10;

const sensesByte = ({ senses }: BoardOptions): number =>
  (senses.contact ? SENSES.contact : 0) |
  (senses.cellKey ? SENSES.cellKey : 0) |
  (senses.protect ? SENSES.protect : 0) |
  (senses.row ? SENSES.row : 0) |
  (senses.load ? SENSES.load : 0);

/** `H` and all `C` lines of a board. */
export function helloLines(options: BoardOptions): string[] {
  const { name, firmware, rateHz, channels } = options;
  const spans = [
    ['gal', channels.gal],
    ['pos', channels.pos],
    ['drv', channels.drv],
  ] as const;
  return [
    encodeHello({ board: name, firmware, rateHz, senses: sensesByte(options) }),
    ...spans.flatMap(([channel, span], index) =>
      span === null ? [] : [encodeChannel({ index, channel, minCount: span.min, maxCount: span.max })],
    ),
  ];
}

/** Flags of a sample as this board senses them; what it does not sense stays 0. */
function flagsOf({ senses }: BoardOptions, physical: Physical): number {
  const { switches } = physical;
  return (
    (senses.contact && physical.contact ? FLAGS.contact : 0) |
    (senses.cellKey ? switches.cell << FLAGS.cellShift : 0) |
    (senses.protect && switches.protect ? FLAGS.protect : 0) |
    (senses.load && switches.load ? FLAGS.load : 0)
  );
}

/** Samples that the board drops because it cannot send, told by times. */
function overrunning(overruns: BoardOptions['line']['overruns']) {
  const due = overruns.map(({ atS }) => diary([atS]));
  let left = 0;
  let dropped = 0;
  return {
    /** Whether this sample is dropped. */
    drops(tS: number): boolean {
      overruns.forEach(({ samples }, index) => {
        if (due[index](tS)) left += samples;
      });
      if (left === 0) return false;
      left -= 1;
      dropped += 1;
      return true;
    },
    /** How many were dropped and not yet owned up to. */
    owned(): number {
      const count = dropped;
      dropped = 0;
      return count;
    },
  };
}

export function createBoard(options: BoardOptions): BoardModel {
  const hello = helloLines(options);
  const marked = diary(options.marksAtS);
  const overrun = overrunning(options.line.overruns);
  let seq = options.firstSeq;
  let zeroS = -options.firstTUs / 1e6;
  let helloDueS = options.helloFirst ? 0 : HELLO_EVERY_S;

  /** What comes before a sample's own line. */
  function before(tS: number, tUs: number): string[] {
    const lines: string[] = [];
    if (tS >= helloDueS) {
      helloDueS += HELLO_EVERY_S;
      lines.push(...hello);
    }
    if (marked(tS)) lines.push(encodeBoardEvent({ tUs, name: 'mark', argument: null }));
    const count = overrun.owned();
    if (count > 0) lines.push(encodeBoardEvent({ tUs, name: 'overrun', argument: String(count) }));
    return lines;
  }

  return {
    sample(physical, analog) {
      const tUs = Math.round((physical.tS - zeroS) * 1e6) % 0x100000000;
      const own = seq;
      seq = (seq + 1) % 0x10000;
      if (overrun.drops(physical.tS)) return [];
      const lines = before(physical.tS, tUs);
      lines.push(sampleLine(options, own, tUs, physical, analog));
      return lines;
    },
    reboot(tS) {
      seq = 0;
      zeroS = tS;
      helloDueS = tS;
    },
  };
}

function sampleLine(
  options: BoardOptions,
  seq: number,
  tUs: number,
  physical: Physical,
  analog: Analog,
): string {
  const { gal, pos, drv } = options.channels;
  return encodeSample({
    seq,
    tUs,
    gal: convert(gal, analog.gal),
    pos: pos === null ? null : convert(pos, analog.pos),
    drv: drv === null ? null : convert(drv, analog.drv),
    row: options.senses.row ? physical.row : 0,
    flags: flagsOf(options, physical),
  });
}
