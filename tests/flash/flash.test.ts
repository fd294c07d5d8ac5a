import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { SerialPortMock } from 'serialport';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { writeFirmware } from '../../bridge/flash/write-firmware.ts';
import { message } from '../../bridge/messages/catalogue.ts';
import { openChannel, SerialChannel } from '../../bridge/serial/open-channel.ts';
import { openPort } from '../../bridge/serial/port-link.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { builtTenwire, type Tenwire } from '../cli/tenwire.ts';
import { until } from '../until.ts';
import { type BootBoard, NEWER, OLDER, OTHER_CHIP, Workshop } from './boot-board.ts';

/** Boards are emulated by simavr with boot loaders of Debian's arduino-core-avr: neither shares code with what writes to them. */

const HEX = 'firmware-protocol/atmega328p/tenwire.hex';
const PAGES = 62;
/** The chip keeps pace with the clock only as far as the computer lets it. */
const PATIENCE_MS = 120_000;
/** Sync, signature and entering take so many bytes at the most; a page takes four and its own six, with its 128. */
const [BEFORE, A_PAGE] = [60, 137];

let workshop: Workshop;
let tenwire: Tenwire;
beforeAll(() => {
  workshop = new Workshop();
  tenwire = builtTenwire();
});
afterAll(() => workshop?.close());

/** The program as it is shipped, while the board goes on in a process of its own. */
async function flashed(board: Pick<BootBoard, 'path'>, ...more: string[]) {
  const running = tenwire.start(['flash', '--port', board.path, ...more]);
  const code = await running.ended;
  return { code, out: running.out(), err: running.err() };
}

const SAMPLES = 300;

/** What the firmware says: its rate as it states it, and the first samples; every whole line must be sound. */
async function heardFrom(path: string) {
  const lines: string[] = [];
  const opened = await openPort(path, 115_200, {
    lines: (more) => lines.push(...more),
    heard: () => {},
    gone: () => {},
  });
  if (!opened.ok) throw new Error(opened.fault.text);
  await until(() => lines.length > SAMPLES + 50, 'the samples', PATIENCE_MS);
  await opened.link.close(message('port-closed'));
  // The first and the last are parts of a line.
  const frames = lines.slice(1, -1).map((line) => decodeLine(line));
  expect(frames.filter(({ type }) => type === 'bad')).toEqual([]);
  const samples = frames.filter((frame) => frame.type === 'S');
  const [first, last] = [samples[0], samples[SAMPLES]];
  return { samples: samples.slice(0, SAMPLES), rateHz: (1e6 * SAMPLES) / (last.tUs - first.tUs) };
}

/** A sound record of Intel HEX with two bytes at an address, and the end record. */
function imageAt(address: number): string {
  const bytes = [2, address >> 8, address & 0xff, 0, 0x0c, 0x94];
  const sum = -bytes.reduce((total, byte) => total + byte, 0) & 0xff;
  const record = [...bytes, sum]
    .map((byte) => byte.toString(16).padStart(2, '0'))
    .join('')
    .toUpperCase();
  return `:${record}\n:00000001FF\n`;
}

describe('tenwire flash', () => {
  it(
    'writes a blank chip, whose firmware then keeps rate and format',
    async () => {
      const board = await workshop.board('atmega328p', NEWER);
      expect(await flashed(board)).toMatchObject({
        code: 0,
        out: expect.stringContaining(`${PAGES} pages were written at 115200 baud and read back as they are`),
      });
      const { rateHz, samples } = await heardFrom(board.path);
      // By the board's own clock and count: what the computer is busy with counts for nothing.
      expect(rateHz).toBeCloseTo(200, 1);
      expect(samples.map((sample, index) => (sample.seq - samples[0].seq - index) & 0xffff)).toEqual(
        samples.map(() => 0),
      );
    },
    PATIENCE_MS,
  );

  it(
    'finds the older boot loader at its own baud rate',
    async () => {
      const board = await workshop.board('atmega328p', OLDER);
      expect(await flashed(board)).toMatchObject({ code: 0, out: expect.stringContaining('at 57600 baud') });
    },
    PATIENCE_MS,
  );

  it(
    'leaves another chip as it is',
    async () => {
      const board = await workshop.board('atmega168', OTHER_CHIP);
      const { code, err } = await flashed(board);
      expect(code).toBe(1);
      expect(err).toContain('the chip says that it is 1e9406');
      expect(err).toContain('nothing was written');
    },
    PATIENCE_MS,
  );

  it(
    'says so where no boot loader answers, though a program talks there',
    async () => {
      const board = await workshop.board('atmega328p', [HEX]);
      const { code, err } = await flashed(board);
      expect(code).toBe(1);
      expect(err).toContain('no boot loader answered, at 115200 or 57600 baud');
    },
    PATIENCE_MS,
  );

  it.each([10, BEFORE + 20.3 * A_PAGE, BEFORE + 62 * A_PAGE + 300])(
    'tells of a cable pulled after %i bytes, and the next try mends it',
    async (bytes) => {
      const board = await workshop.board('atmega328p', NEWER);
      board.pullAfter(Math.round(bytes));
      const first = await flashed(board);
      expect(first.code).toBe(1);
      expect(first.err).toMatch(/the port went away|fell silent|no boot loader answered/);
      await until(board.wasPulled, 'the cable to be in again');
      expect(await flashed(board)).toMatchObject({ code: 0 });
    },
    PATIENCE_MS,
  );

  it('refuses an image that reaches into the boot loader, is cut off, or empty, before a port is opened', async () => {
    const open = vi.fn();
    for (const [hex, said] of [
      [imageAt(0x7800), 'into the place of the boot loader'],
      [imageAt(0x7ffe), 'into the place of the boot loader'],
      [readFileSync(HEX, 'latin1').slice(0, 5000), 'not sound'],
      [':00000001FF\n', 'holds nothing'],
    ])
      expect(await writeFirmware(hex, { open, progress: () => {} })).toMatchObject({
        ok: false,
        text: expect.stringContaining(said),
      });
    expect(open).not.toHaveBeenCalled();
    const file = join(workshop.folder, 'long.hex');
    writeFileSync(file, imageAt(0x7800));
    expect(await flashed({ path: '/nowhere' }, '--image', file)).toMatchObject({ code: 1 });
  });

  it('names a port that is not there, and an image that is not there', async () => {
    expect((await flashed({ path: '/dev/nothing' })).err).toContain('there is no port /dev/nothing');
    expect(await flashed({ path: '/dev/nothing' }, '--image', '/nowhere.hex')).toMatchObject({ code: 2 });
  });
});

describe('the reset line', () => {
  it('is let go and pulled by DTR and RTS together, and the port is left open', async () => {
    SerialPortMock.binding.createPort('/dev/mock', { echo: false, record: true });
    const port = new SerialPortMock({ path: '/dev/mock', baudRate: 115_200 });
    await new Promise((resolve) => port.once('open', resolve));
    const set = vi.spyOn(port.port!, 'set');
    expect(await new SerialChannel(port).reset()).toBe(true);
    expect(set.mock.calls.map(([{ dtr, rts }]) => [dtr, rts])).toEqual([
      [false, false],
      [true, true],
    ]);
    expect(port.isOpen).toBe(true);
  });

  it('is told to be missing by a pseudo-terminal, which is written all the same', async () => {
    const board = await workshop.board('atmega328p', NEWER);
    const opened = await openChannel(board.path, 115_200);
    if (!opened.ok) throw new Error(opened.text);
    expect(await opened.channel.reset()).toBe(false);
    await opened.channel.close();
  });
});
