import { type Eeprom, newEeprom } from '../../bridge/emulate/chip.ts';
import { EmulatedBoard } from '../../bridge/emulate/emulated-board.ts';
import { createFrontEnd, type FrontEndOptions, QUIET_FRONT_END } from '../../bridge/emulate/front-end.ts';
import type { BenchState } from '../../bridge/emulate/wiring.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import type { BadLine, BoardEventFrame, Frame, SampleFrame } from '../../firmware-protocol/frames.ts';
import { recordedProgram } from '../firmware-protocol/firmware.ts';

export const AT_REST: BenchState = {
  galvanometerUa: 0,
  driverMa: 100,
  scaleCm: 50,
  row: 8,
  contact: true,
  jumps: [],
  switches: { cell: 1, protect: false, load: false },
};

/** A board on a bench that a test moves by hand, and everything that it sent. */
export interface Stand {
  board: EmulatedBoard;
  eeprom: Eeprom;
  /** All bytes sent since the last `clear`. */
  text(): string;
  clear(): void;
  send(text: string): void;
  /** Decoded whole lines; bad ones too. */
  frames(): (Frame | BadLine)[];
  samples(): SampleFrame[];
  events(name: string): BoardEventFrame[];
}

export interface StandOptions {
  bench?: (tS: number) => BenchState;
  frontEnd?: Partial<FrontEndOptions>;
  program?: Uint16Array;
}

export function createStand(options: StandOptions = {}): Stand {
  let text = '';
  const eeprom = newEeprom();
  const bench = options.bench ?? (() => AT_REST);
  const board = new EmulatedBoard({
    program: options.program ?? recordedProgram('tenwire'),
    eeprom,
    bench: { advance: bench },
    frontEnd: createFrontEnd(INVENTED_BENCH, { ...QUIET_FRONT_END, ...options.frontEnd }),
    onByte: (byte) => {
      text += String.fromCharCode(byte);
    },
  });
  const frames = () => text.split('\n').slice(0, -1).map(decodeLine);
  return {
    board,
    eeprom,
    text: () => text,
    clear: () => {
      text = '';
    },
    send: (line) => board.send(Buffer.from(line, 'latin1')),
    frames,
    samples: () => frames().filter((frame) => frame.type === 'S'),
    events: (name) =>
      frames()
        .filter((frame) => frame.type === 'E')
        .filter((frame) => frame.name === name),
  };
}

/** Sets the baud rate that holds from the next start, and starts anew. */
export function restartAt(stand: Stand, baud: number): void {
  stand.board.run(0.05);
  stand.send(`B,${baud}\n`);
  stand.board.run(0.2);
  stand.board.setPower(false);
  stand.board.run(0.1);
  stand.clear();
  stand.board.setPower(true);
}

/** Missing seqs between the first and the last of some samples. */
export const lostAmong = (samples: SampleFrame[]): number =>
  samples
    .slice(1)
    .reduce((lost, sample, index) => lost + ((sample.seq - samples[index].seq) & 0xffff) - 1, 0);

/** Microseconds between neighbours. */
export const stepsUs = (samples: SampleFrame[]): number[] =>
  samples.slice(1).map((sample, index) => (sample.tUs - samples[index].tUs) >>> 0);
