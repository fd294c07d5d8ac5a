import { EventEmitter } from 'node:events';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { SerialPort } from 'serialport';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { PortListing } from '../../bridge/serial/list-ports.ts';
import type { SerialOptions } from '../../bridge/serial/serial-source.ts';
import { SerialSource } from '../../bridge/serial/serial-source.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { sealPayload, WHO_ARE_YOU } from '../../firmware-protocol/encode.ts';
import { settle, until } from '../until.ts';
import { answerQuestions, helloOf, sampleOf } from './board.ts';
import { Heard } from './heard.ts';
import type { Pty } from './pty.ts';
import { plugIn, temporaryFolder } from './pty.ts';

/** As the real ones, twenty times as fast. */
const QUICK = {
  watchMs: 20,
  askMs: 60,
  probeMs: 150,
  silenceMs: 300,
  mostSilenceMs: 1200,
  confirmMs: 600,
  retryMs: 30,
  listMs: 60,
};

/** A pseudo-terminal closed right after it was written to loses what was written. */
const CLEAN_UNPLUG_MS = 30;

let folder: string;
let path: string;
const opened: { close(): Promise<void> }[] = [];
const plugged: Pty[] = [];
const stops: (() => void)[] = [];

beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder, 'port');
});

afterEach(async () => {
  for (const stop of stops.splice(0)) stop();
  for (const source of opened.splice(0)) await source.close();
  for (const pty of plugged.splice(0)) await pty.unplug();
  rmSync(folder, { recursive: true });
});

async function board(at = path, name: string | null = 'b1'): Promise<Pty> {
  const pty = await plugIn(at);
  plugged.push(pty);
  if (name !== null) stops.push(answerQuestions(pty, name));
  return pty;
}

function source(options: Partial<SerialOptions> = {}): { source: SerialSource; heard: Heard } {
  const made = new SerialSource({
    path,
    baudRate: 115200,
    rateHz: null,
    list: async () => [],
    times: QUICK,
    ...options,
  });
  opened.push(made);
  return { source: made, heard: new Heard() };
}

describe('a board at a pseudo-terminal', () => {
  it('asks who is there until H and C are known, then no more', async () => {
    const pty = await board();
    const { source: port, heard } = source();
    expect(await port.start(heard)).toBeNull();
    pty.send(`${sampleOf(1)}\r\n`);
    await until(() => heard.lineTexts.some((line) => line.startsWith('C')), 'the board answered');
    const asked = () => heard.all.filter((item) => item.kind === 'sent');
    const untilAnswered = asked();
    const stop = setInterval(() => pty.send(`${sampleOf(2)}\n`), 20);
    await settle(4 * QUICK.askMs);
    clearInterval(stop);
    expect(asked()[0]).toEqual({ kind: 'sent', line: WHO_ARE_YOU });
    expect(asked()).toEqual(untilAnswered);
    const wanted = untilAnswered.map(() => `${WHO_ARE_YOU}\n`).join('');
    await until(() => pty.received() === wanted, 'the questions at the board');
    expect(heard.lineTexts).toContain(sampleOf(1));
    expect(heard.ups).toEqual([true]);
  });

  it('asks again while a channel of the samples has no span', async () => {
    const pty = await board(path, null);
    const { source: port, heard } = source();
    await port.start(heard);
    pty.send(helloOf('b1'));
    pty.send(`${sealPayload('S,1,10000,2048,77,,0,01')}\n`);
    await until(() => pty.received().split('?').length > 4, 'it asked three times and more');
  });

  it('keeps every byte of a damaged line', async () => {
    const pty = await board();
    const { source: port, heard } = source();
    await port.start(heard);
    pty.send(Buffer.from([0x53, 0x00, 0xff, 0x80, 0x5c, 0x0d, 0x0a]));
    await until(() => heard.lineTexts.includes('S\x00\xff\x80\\'), 'the damaged line came');
  });

  it('cuts a flood without a line feed into one bad line, and reads on after it', async () => {
    const pty = await board();
    const { source: port, heard } = source();
    await port.start(heard);
    await until(() => heard.ups.length > 0, 'up');
    for (let part = 0; part < 200; part += 1) pty.send('\xfe'.repeat(10_000));
    pty.send(`\n${sampleOf(7)}\n`);
    await until(() => heard.lineTexts.includes(sampleOf(7)), 'the line after the flood came');
    const flood = heard.lineTexts.filter((line) => line.startsWith('\xfe'));
    expect(flood).toEqual(['\xfe'.repeat(120)]);
    expect(decodeLine(flood[0])).toMatchObject({ type: 'bad', reason: 'too-long' });
  });

  it('sends the board its rate', async () => {
    const pty = await board();
    const { source: port, heard } = source({ rateHz: 200 });
    await port.start(heard);
    await until(() => /R,200\*[0-9A-F]{4}\n/.test(pty.received()), 'the rate was sent');
    pty.send(`${sealPayload('X,R,too fast')}\n`);
    pty.send(helloOf('b1'));
    await until(() => heard.text.includes('does not sample at 200 Hz: too fast'), 'the refusal is said');
  });

  it('says so where lines come and none can be read', async () => {
    const pty = await board(path, null);
    const { source: port, heard } = source();
    await port.start(heard);
    const stop = setInterval(() => pty.send('\xf0\x0f\n'), 10);
    await until(() => heard.text.includes('baud rate'), 'a word on the baud rate');
    clearInterval(stop);
  });
});

/** Stops this process as SIGSTOP, a sleeping computer or a slow disk does; what others do goes on. */
const stall = (ms: number): void => void Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);

describe('a bridge that was stopped for longer than silence may last', () => {
  it('reads what the kernel held before it judges, loses no line, and keeps the port open', async () => {
    const pty = await board();
    const { source: port, heard } = source();
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    const sent: string[] = [];
    for (let round = 0; round < 4; round += 1) {
      for (let count = 0; count < 40; count += 1) sent.push(sampleOf(sent.length));
      pty.send(`${sent.slice(-40).join('\n')}\n`);
      stall(3 * QUICK.silenceMs);
      await until(() => heard.samples.length >= sent.length, `the lines of stall ${round}`);
    }
    expect(heard.samples).toEqual(sent);
    expect(heard.ups).toEqual([true]);
  });

  it('does not take its board under another path for a stranger because the time to say its name has passed', async () => {
    let listed: PortListing[] = [{ path }];
    const first = await board();
    const { source: port, heard } = source({ list: async () => listed });
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    await sleep(CLEAN_UNPLUG_MS);
    listed = [{ path: join(folder, 'moved') }];
    await first.unplug();
    const moved = await board(listed[0].path, null);
    await until(() => moved.received().includes('?'), 'it was asked under the other path');
    moved.send(`${sampleOf(0)}\n`);
    stall(2 * QUICK.confirmMs);
    await settle(2 * QUICK.watchMs);
    moved.send(helloOf('b1'));
    await until(() => heard.ups.length === 3, 'up again');
    expect(heard.samples).toEqual([sampleOf(0)]);
  });
});

describe('lines on their way to the recording', () => {
  it('are passed on within the read that brought them', async () => {
    const pty = await board();
    const { source: port, heard } = source();
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    let inRead = false;
    const told: boolean[] = [];
    const emit = EventEmitter.prototype.emit;
    EventEmitter.prototype.emit = function (this: EventEmitter, name: string | symbol, ...rest: unknown[]) {
      if (!(this instanceof SerialPort) || name !== 'data') return emit.call(this, name, ...rest);
      inRead = true;
      const answered = emit.call(this, name, ...rest);
      inRead = false;
      return answered;
    };
    heard.lines = () => void told.push(inRead);
    pty.send(`${sampleOf(1)}\n`);
    await until(() => told.length > 0, 'the sample').finally(() => {
      EventEmitter.prototype.emit = emit;
    });
    expect(told).toEqual(told.map(() => true));
  });

  it('are all passed on before a port is closed that holds them', async () => {
    const pty = await board();
    const { source: port, heard } = source();
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    const sent = Array.from({ length: 400 }, (_, seq) => sampleOf(seq));
    pty.send(`${sent.join('\n')}\n`);
    stall(200);
    await port.close();
    expect(heard.samples).toEqual(sent);
  });
});

describe('a link that is lost', () => {
  it('comes back by itself at the same path, once up and down each, half a line kept', async () => {
    const first = await board();
    const { source: port, heard } = source();
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    first.send(`${sampleOf(1)}\nS,2,200`);
    await until(() => heard.lineTexts.includes(sampleOf(1)), 'the first sample');
    await sleep(CLEAN_UNPLUG_MS);
    await first.unplug();
    await until(() => heard.ups.length === 2, 'down');
    await until(() => heard.text.includes('waiting for board b1'), 'says what it waits for');
    const second = await board();
    // serialport throws away what waits at a port when it opens it.
    await until(() => heard.ups.length === 3, 'up again');
    second.send(`${sampleOf(3)}\n`);
    await until(() => heard.lineTexts.includes(sampleOf(3)), 'the first sample after it');
    expect(heard.ups).toEqual([true, false, true]);
    // Nothing of the old half line is glued to the new lines.
    expect(heard.lineTexts.filter((line) => line.startsWith('S'))).toEqual([
      sampleOf(1),
      'S,2,200',
      sampleOf(3),
    ]);
  });

  it('survives being unplugged under load, time and again', async () => {
    const { source: port, heard } = source();
    for (let time = 0; time < 6; time += 1) {
      const pty = await board();
      if (time === 0) await port.start(heard);
      const flood = setInterval(() => pty.send(`${sampleOf(time)}\n`.repeat(100)), 1);
      await until(() => heard.ups.length === 2 * time + 1, `up, time ${time}`);
      port.send('R,100');
      await sleep(CLEAN_UNPLUG_MS);
      await pty.unplug();
      clearInterval(flood);
      await until(() => heard.ups.length === 2 * time + 2, `down, time ${time}`);
    }
    expect(heard.ups).toEqual(Array.from({ length: 12 }, (_, index) => index % 2 === 0));
  });

  it('takes silence for a lost link: asks, closes, opens again', async () => {
    const pty = await board(path, null);
    const { source: port, heard } = source();
    await port.start(heard);
    pty.send(helloOf('b1'));
    await until(() => heard.ups.length === 1, 'up');
    const asked = () => pty.received().split('?').length - 1;
    const before = asked();
    await until(() => heard.ups.length === 2, 'down after silence');
    // On a busy computer what was written takes its time through the pseudo-terminal.
    await until(() => asked() > before, 'the question before giving up');
    expect(heard.all.some((item) => item.kind === 'link' && item.status.text.includes('nothing came'))).toBe(
      true,
    );
    stops.push(answerQuestions(pty, 'b1'));
    await until(() => heard.ups.length === 3, 'up again');
  });

  it('does not flap where nothing ever speaks, and opens ever less often', async () => {
    const pty = await board(path, null);
    const { source: port, heard } = source();
    await port.start(heard);
    const openings = () =>
      heard.all.filter((item) => item.kind === 'link' && item.status.text.includes('is open')).length;
    const openedMs: number[] = [];
    for (const count of [1, 2, 3]) {
      await until(() => openings() >= count, `opening ${count}`);
      openedMs.push(performance.now());
    }
    // A busy computer only makes it longer. The silence waited for doubles: half as much again is left for seeing the opening late.
    expect(openedMs[2] - openedMs[1]).toBeGreaterThan(1.5 * QUICK.silenceMs);
    expect(heard.ups).toEqual([]);
    pty.send(`${sampleOf(1)}\n`);
    await until(() => heard.ups.length === 1, 'up once something speaks');
  });

  it('finds the same board under another path, and leaves other boards alone', async () => {
    const others = [join(folder, 'other'), join(folder, 'moved')];
    let listed: PortListing[] = [{ path }];
    const first = await board();
    const { source: port, heard } = source({ list: async () => listed });
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    await sleep(CLEAN_UNPLUG_MS);
    listed = [];
    await first.unplug();
    await until(() => heard.ups.length === 2, 'down');
    const stranger = await board(others[0], 'b2');
    await board(others[1], 'b1');
    listed = others.map((other) => ({ path: other }));
    await until(() => heard.ups.length === 3, 'up under another path');
    expect(heard.text).toBe(`board b1 at ${others[1]}`);
    expect(heard.lineTexts.some((line) => line.startsWith('H,1,b2'))).toBe(false);
    const asked = stranger.received().length;
    await settle(5 * QUICK.listMs);
    expect(stranger.received().length).toBe(asked);
  });

  it.each([
    ['is not taken for another of its make', undefined, 2],
    ['is known by the number that USB tells', 'A7', 3],
  ])('a board that nobody has named %s', async (_, serialNumber, ups) => {
    const make = { vendorId: '1a86', productId: '7523', serialNumber };
    const other = join(folder, 'other');
    let listed: PortListing[] = [{ path, ...make }];
    const first = await board(path, 'unnamed');
    const { source: port, heard } = source({ list: async () => listed });
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    await sleep(CLEAN_UNPLUG_MS);
    listed = [];
    await first.unplug();
    await until(() => heard.ups.length === 2, 'down');
    const another = await board(other, 'unnamed');
    listed = [{ path: other, ...make }];
    if (ups === 3) await until(() => heard.ups.length === ups, 'up under another path');
    else await settle(5 * QUICK.listMs);
    expect(heard.ups.length).toBe(ups);
    if (ups === 2) {
      expect(another.received()).toBe('');
      expect(heard.text).toContain('gives it a name');
    }
  });

  it('keeps what came at the same path before the board could say who it is, where the link is lost again', async () => {
    const first = await board();
    const { source: port, heard } = source();
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    await sleep(30);
    await first.unplug();
    await until(() => heard.ups.length === 2, 'down');
    const mute = await board(path, null);
    await until(() => mute.received().includes('?'), 'it was asked');
    mute.send(`${sampleOf(5)}\n`);
    await sleep(60);
    await mute.unplug();
    await until(() => heard.lineTexts.includes(sampleOf(5)), 'the sample');
    await until(() => heard.ups.length === 4, 'up and down again');
  });

  it('does not take another board at the same path for its own', async () => {
    const first = await board();
    const { source: port, heard } = source({ list: async () => [{ path }] });
    await port.start(heard);
    await until(() => heard.ups.length === 1, 'up');
    await first.unplug();
    await until(() => heard.ups.length === 2, 'down');
    const swapped = await board(path, 'b2');
    swapped.send(`${sampleOf(9)}\n`);
    await until(
      () => heard.all.some((item) => item.kind === 'link' && item.status.text.includes('board b2 answers')),
      'says so',
    );
    await settle(200);
    expect(heard.lineTexts).not.toContain(sampleOf(9));
    expect(heard.ups).toEqual([true, false]);
  });
});

describe('a port that can not be opened', () => {
  it('is not there', async () => {
    const { source: port, heard } = source({ path: join(folder, 'none') });
    expect(await port.start(heard)).toMatchObject({ code: 'port-not-found' });
    expect(heard.all).toEqual([]);
  });

  it('is in use', async () => {
    await board();
    const one = source();
    expect(await one.source.start(one.heard)).toBeNull();
    const two = source();
    expect(await two.source.start(two.heard)).toMatchObject({ code: 'port-busy' });
  });

  it('has no name, or is the device that makes terminals', async () => {
    const nameless = source({ path: ' ' });
    expect(await nameless.source.start(nameless.heard)).toMatchObject({
      code: 'port-not-found',
      text: expect.stringContaining('no port was named'),
    });
    const ptmx = source({ path: '/dev/ptmx' });
    expect(await ptmx.source.start(ptmx.heard)).toMatchObject({ code: 'not-a-port' });
  });

  it('is a file or a folder', async () => {
    writeFileSync(path, 'text');
    const file = source();
    expect(await file.source.start(file.heard)).toMatchObject({ code: 'not-a-port' });
    rmSync(path);
    mkdirSync(path);
    const dir = source();
    expect(await dir.source.start(dir.heard)).toMatchObject({ code: 'not-a-port' });
  });
});

describe('two boards of one name', () => {
  const twins = async () => {
    const other = join(folder, 'other-port');
    await board();
    const twin = await board(other);
    const list = async (): Promise<PortListing[]> =>
      plugged.map(({ path: at }) => ({ path: at })) as PortListing[];
    const first = source({ list });
    const second = source({ path: other, list });
    expect(await first.source.start(first.heard)).toBeNull();
    await until(() => first.heard.lineTexts.length > 1, 'the first board is heard');
    expect(await second.source.start(second.heard)).toBeNull();
    return { first, second, twin, other };
  };

  it('the second is refused, its port closed, and the way out is said', async () => {
    const { first, second, twin } = await twins();
    await until(
      () => second.heard.linkTexts.some((text) => /b1 speaks at .*port already.*another name/.test(text)),
      'the refusal',
    );
    const lines = second.heard.lineTexts.length;
    twin.send(`${sampleOf(7)}\n`);
    await sleep(QUICK.retryMs * 5);
    expect(second.heard.lineTexts).toHaveLength(lines);
    expect(first.heard.linkTexts.some((text) => text.includes('speaks at'))).toBe(false);
  });

  it('under another name it is let in', async () => {
    const { second, twin, other } = await twins();
    await until(() => second.heard.linkTexts.some((text) => text.includes('speaks at')), 'the refusal');
    await twin.unplug();
    plugged.splice(plugged.indexOf(twin), 1);
    await sleep(QUICK.listMs * 3);
    await board(other, 'b2');
    await until(
      () => second.heard.linkTexts.some((text) => text.startsWith('board b2 at')),
      'the board of another name',
    );
  });

  it('once the first is gone its name is free', async () => {
    const { first, second, other } = await twins();
    await until(() => second.heard.linkTexts.some((text) => text.includes('speaks at')), 'the refusal');
    await first.source.close();
    const third = source({ path: other });
    await second.source.close();
    expect(await third.source.start(third.heard)).toBeNull();
    await until(
      () => third.heard.linkTexts.some((text) => text.startsWith('board b1 at')),
      'the board that was refused',
    );
  });

  it('boards without a name are both let in', async () => {
    const other = join(folder, 'other-port');
    await board(path, 'unnamed');
    await board(other, 'unnamed');
    for (const at of [path, other]) {
      const { source: port, heard } = source({ path: at });
      expect(await port.start(heard)).toBeNull();
      await until(() => heard.linkTexts.some((text) => text.startsWith('board unnamed at')), 'the board');
    }
  });
});
