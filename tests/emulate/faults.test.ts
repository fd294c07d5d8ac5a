import { expect, test } from 'vitest';
import { randomStream } from '../../bridge/simulate/random.ts';
import { AT_REST, createStand, lostAmong, stepsUs } from './stand.ts';

const UBRR0L = 0xc4;

test('power cut in the middle of a line: half a line, then a boot that begins with H and C', () => {
  const stand = createStand();
  stand.send('N,bench-4\n');
  stand.board.run(0.5);
  while (!/\nS,\d+,\d+,$/.test(stand.text())) stand.board.run(0.0001);
  stand.board.setPower(false);
  stand.board.run(2);
  const cut = stand.text();
  expect(cut).toMatch(/,$/);
  stand.clear();
  stand.board.setPower(true);
  stand.board.run(0.5);
  const frames = stand.frames();
  expect(frames.slice(0, 4).map((frame) => frame.type)).toEqual(['H', 'C', 'C', 'C']);
  // the name was kept without power
  expect(frames[0]).toMatchObject({ board: 'bench-4', senses: 0x1f });
  expect(stand.samples()[0]).toMatchObject({ seq: 0, tUs: 5000 });
  expect(frames.filter((frame) => frame.type === 'bad')).toEqual([]);
});

test('a power cut while settings are saved gives defaults, never a mixture', () => {
  const names = new Set<string>();
  for (let cutMs = 0.5; cutMs < 90; cutMs += 11) {
    const stand = createStand();
    stand.board.run(0.02);
    stand.send('N,first-name\n');
    stand.board.run(0.2);
    stand.send('N,SECOND-NAME-X\n');
    stand.board.run(cutMs / 1000);
    stand.board.setPower(false);
    stand.board.run(0.1);
    stand.clear();
    stand.board.setPower(true);
    stand.board.run(0.05);
    for (const frame of stand.frames()) if (frame.type === 'H') names.add(frame.board);
  }
  expect([...names].sort()).toEqual(['SECOND-NAME-X', 'first-name', 'unnamed']);
});

test('a flood of garbage on the receive line costs no sample, and a command behind it is heard', () => {
  const stand = createStand();
  const random = randomStream(7, 'garbage');
  stand.board.run(0.2);
  stand.clear();
  for (let burst = 0; burst < 100; burst += 1) {
    const lines = Uint8Array.from({ length: 1100 }, () => Math.floor(256 * random.uniform()));
    stand.board.send(burst % 2 === 0 ? lines : Buffer.from('nonsense,1\r\n\n*\nR,\n'.repeat(60)));
    stand.board.run(0.05);
  }
  const lines = stand.frames().slice(1);
  expect(lines.filter((frame) => frame.type === 'bad')).toEqual([]);
  expect(lostAmong(stand.samples())).toBe(0);
  expect(stepsUs(stand.samples()).every((step) => step === 5000)).toBe(true);
  expect(stand.events('overrun')).toEqual([]);
  stand.board.run(0.5);
  stand.clear();
  stand.send('\nR,100\n');
  stand.board.run(0.3);
  expect(stand.frames()).toContainEqual({ type: 'A', command: 'R,100' });
});

test('a command with a wrong CRC is refused and not carried out', () => {
  const stand = createStand();
  stand.board.run(0.1);
  stand.send('R,100*0000\n');
  stand.board.run(0.2);
  expect(stand.frames()).toContainEqual(expect.objectContaining({ type: 'X', command: '-' }));
  expect(stepsUs(stand.samples()).at(-1)).toBe(5000);
});

test('a line that can not carry the samples: overruns are counted, their seqs are missing, time goes on', () => {
  const stand = createStand();
  stand.board.run(0.2);
  // An eighth of the baud rate, behind the firmware's back, for one second.
  const divisor = stand.board.chip.cpu.data[UBRR0L];
  stand.board.chip.cpu.data[UBRR0L] = 8 * (divisor + 1) - 1;
  stand.board.run(1);
  stand.board.chip.cpu.data[UBRR0L] = divisor;
  stand.board.run(1);
  const samples = stand.samples();
  const lost = lostAmong(samples);
  const counted = stand.events('overrun').reduce((sum, { argument }) => sum + Number(argument), 0);
  expect(lost).toBeGreaterThan(100);
  expect(counted).toBe(lost);
  expect(samples.every(({ seq, tUs }) => tUs === 5000 * (seq + 1))).toBe(true);
  expect(stand.frames().filter((frame) => frame.type === 'bad')).toEqual([]);
});

test('a converter that stops answering: the watchdog starts the board anew', () => {
  const stand = createStand();
  stand.board.run(0.3);
  const before = stand.board.chip;
  stand.board.chip.adc.onADCRead = () => undefined;
  stand.clear();
  stand.board.run(0.9);
  expect(stand.board.chip).toBe(before);
  stand.board.run(0.6);
  expect(stand.board.chip).not.toBe(before);
  const hello = stand.frames().findIndex((frame) => frame.type === 'H');
  expect(hello).toBeGreaterThanOrEqual(0);
  expect(stand.samples().at(-1)!.tUs).toBeLessThan(600_000);
});

test('the mark button held at the start brings 115200 baud back', () => {
  let held = false;
  const stand = createStand({ bench: () => ({ ...AT_REST, mark: held }) });
  stand.board.run(0.1);
  stand.send('B,500000\n');
  stand.board.run(0.2);
  const restart = () => {
    stand.board.setPower(false);
    stand.board.run(0.1);
    stand.board.setPower(true);
    stand.board.run(0.2);
    return stand.board.chip.usart.baudRate;
  };
  expect(restart()).toBe(500_000);
  held = true;
  stand.board.run(0.01);
  // The chip's real rate at a nominal 115200 baud with 16 MHz: 16e6 / 8 / 17.
  expect(restart()).toBe(117_647);
});
