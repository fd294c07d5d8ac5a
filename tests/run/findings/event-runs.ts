import { placeOnWire } from '../../../bridge/bench/geometry.ts';
import type { RunView } from '../../../bridge/run/view.ts';
import { INVENTED_BENCH } from '../../../bridge/simulate/default-scene.ts';
import { viewOf } from '../../independent-recordings/fold-text.ts';
import { sealed } from '../../independent-recordings/writer/wire-line.ts';

/** Runs of words alone, and lines of a board that says who it is. */

/** @param lines a recording's lines without their times: `! {...}`, `< H,...` */
export const written = (lines: readonly string[]): string =>
  ['#tenwire-recording 1', ...lines.map((line, ms) => `${ms} ${line}`), ''].join('\n');

export const eventLine = (event: object): string => `! ${JSON.stringify(event)}`;

export const boardLine = (payload: string): string => `< ${sealed(payload)}`;

export const runOfEvents = (...events: object[]): RunView => viewOf(written(events.map(eventLine)));

export const benchWith = (changes: object = {}) => ({
  kind: 'bench',
  bench: { ...INVENTED_BENCH, ...changes },
});

/** A length from A, read by eye off the scale of its row, to half a millimetre. */
export const eye = (cell: 1 | 2, set: number, lengthCm: number) => ({
  kind: 'length',
  cell,
  set,
  ...placeOnWire(INVENTED_BENCH.wire, lengthCm),
});

/** The same words a minute apart: a board that sees nothing keeps the time. */
export const timed = (...events: object[]): RunView =>
  viewOf(
    written([
      boardLine('H,1,clock,1,1,00'),
      boardLine('C,0,gal,0,4095'),
      ...events.flatMap((event, minute) => [
        boardLine(`S,${minute},${minute * 60_000_000},2048,,,0,00`),
        eventLine(event),
      ]),
    ]),
  );
