import { encodeRate } from '../../firmware-protocol/encode.ts';
import type { RecordLine } from '../recording/record.ts';
import type { RunEvent } from '../run/events.ts';
import type { Scene } from '../simulate/scene.ts';
import { openingEvents } from '../simulate/simulate-run.ts';
import { newEeprom } from './chip.ts';
import { EmulatedBoard } from './emulated-board.ts';
import { sceneAtBoard } from './scene-board.ts';

/** Steps in which the board runs; lines get their host time at the end of one. */
const STEP_S = 0.002;

const eventAt = (ms: number, said: RunEvent): RecordLine => ({
  ms,
  mark: '!',
  payload: JSON.stringify(said),
});

/**
 * The run of a scene as records, like `simulateRun`, but with the firmware doing what a board does: the scene's
 * bench and hand, the front end of docs/hardware.md, the chip instruction by instruction. A pure function of the
 * scene and the program. Of the scene's board settings only the rate is used, told to the firmware by `R`; it must be a
 * whole number.
 */
export function* emulatedRun(given: Scene, program: Uint16Array): Generator<RecordLine, void, undefined> {
  const at = sceneAtBoard(given);
  let sent = '';
  const board = new EmulatedBoard({
    program,
    eeprom: newEeprom(),
    bench: at.bench,
    frontEnd: at.frontEnd,
    onByte: (byte) => {
      sent += String.fromCharCode(byte);
    },
  });
  for (const said of openingEvents(at.scene)) yield eventAt(0, said);
  const rate = encodeRate(given.board.rateHz);
  board.send(Buffer.from(`${rate}\n`, 'latin1'));
  yield { ms: 0, mark: '>', payload: rate };
  while (!at.last().finished) {
    board.run(STEP_S);
    const ms = Math.round(board.benchS * 1e6) / 1000;
    for (const said of at.takeSaid()) yield eventAt(ms, said);
    const lines = sent.split('\n');
    sent = lines[lines.length - 1];
    for (const payload of lines.slice(0, -1)) yield { ms, mark: '<', payload };
  }
}
