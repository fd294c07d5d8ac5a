import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { readIntelHex } from '../flash/intel-hex.ts';
import { newEeprom } from './chip.ts';
import { EmulatedBoard } from './emulated-board.ts';
import type { FrontEndModel } from './front-end.ts';
import { keepPace } from './pacing.ts';
import { openPseudoTerminal } from './pseudo-terminal.ts';
import type { BenchSource } from './wiring.ts';

/** The recorded firmware; as far up from dist/bridge as from here. */
const FIRMWARE = new URL('../../firmware-protocol/atmega328p/tenwire.hex', import.meta.url);

export interface BoardAtPortOptions {
  bench: BenchSource;
  frontEnd: FrontEndModel;
  /** Where the pseudo-terminal shall stand, such as a path in a temporary folder. */
  path: string;
  /** Times real time. */
  speed: number;
}

/** The reference board, emulated, at a port that the bridge opens like any other. */
export interface BoardAtPort {
  path: string;
  board: EmulatedBoard;
  /** Pulls the cable: the port goes away, the board runs on and what it sends is lost. */
  unplug(): Promise<void>;
  /** Plugs the cable in again, at the same path; null, or what stood in the way. */
  plug(): Promise<string | null>;
  close(): Promise<void>;
}

export type BoardOpening = { ok: true; at: BoardAtPort } | { ok: false; text: string };

export async function openBoardAtPort(options: BoardAtPortOptions): Promise<BoardOpening> {
  const firmware = readIntelHex(await readFile(fileURLToPath(FIRMWARE), 'latin1'));
  if (!firmware.ok) return { ok: false, text: `the firmware can't be read: ${firmware.fault}` };
  let sent: number[] = [];
  const board = new EmulatedBoard({
    program: firmware.program,
    eeprom: newEeprom(),
    bench: options.bench,
    frontEnd: options.frontEnd,
    onByte: (byte) => sent.push(byte),
  });
  const plugIn = () => openPseudoTerminal(options.path, (bytes) => board.send(bytes));
  const opening = await plugIn();
  if (!opening.ok) return opening;
  let terminal: typeof opening.terminal | null = opening.terminal;
  const pace = keepPace(board, options.speed, () => {
    if (sent.length > 0) terminal?.write(Uint8Array.from(sent));
    sent = [];
  });
  const unplug = async () => {
    const pulled = terminal;
    terminal = null;
    await pulled?.close();
  };
  const plug = async () => {
    const again = await plugIn();
    if (!again.ok) return again.text;
    terminal = again.terminal;
    return null;
  };
  const close = async () => {
    pace.stop();
    await unplug();
  };
  return { ok: true, at: { path: options.path, board, unplug, plug, close } };
}
