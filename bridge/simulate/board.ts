import { encodeChannel, encodeHello, encodeSample } from '../../firmware-protocol/encode.ts';
import { FLAGS, SENSES } from '../../firmware-protocol/frames.ts';
import { type Analog, convert } from './front-end.ts';
import type { Physical } from './live-bench.ts';
import type { BoardOptions } from './scene.ts';

/** The board as it talks: samples with sequence number and clock, `H` and `C` when they are due. */
export interface Board {
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

export function createBoard(options: BoardOptions): Board {
  const { gal, pos, drv } = options.channels;
  const hello = helloLines(options);
  let seq = options.firstSeq;
  let zeroS = -options.firstTUs / 1e6;
  let helloDueS = options.helloFirst ? 0 : HELLO_EVERY_S;

  return {
    sample(physical, analog) {
      const { tS } = physical;
      const due = tS >= helloDueS;
      if (due) helloDueS += HELLO_EVERY_S;
      const line = encodeSample({
        seq,
        tUs: Math.round((tS - zeroS) * 1e6) % 0x100000000,
        gal: convert(gal, analog.gal),
        pos: pos === null ? null : convert(pos, analog.pos),
        drv: drv === null ? null : convert(drv, analog.drv),
        row: options.senses.row ? physical.row : 0,
        flags: flagsOf(options, physical),
      });
      seq = (seq + 1) % 0x10000;
      return due ? [...hello, line] : [line];
    },
    reboot(tS) {
      seq = 0;
      zeroS = tS;
      helloDueS = tS;
    },
  };
}
