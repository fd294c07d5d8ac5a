import { afterEach, describe, expect, it } from 'vitest';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { PacedSource } from '../../bridge/session/paced-source.ts';
import { Heard } from '../serial/heard.ts';
import { settle, until } from '../until.ts';

const opened: PacedSource[] = [];
afterEach(async () => {
  for (const source of opened.splice(0)) await source.close();
});

const record = (ms: number): RecordLine => ({ ms, mark: '<', payload: String(ms) });

function* every(stepMs: number, count: number): Generator<RecordLine> {
  for (let index = 0; index < count; index += 1) yield record(index * stepMs);
}

async function play(items: Iterable<RecordLine | 'unreadable'>, speed: number) {
  const source = new PacedSource('replay', items, speed);
  opened.push(source);
  const heard = new Heard();
  await source.start(heard);
  return { source, heard, ended: () => heard.all.at(-1)?.kind === 'ended' };
}

describe('records at their own pace', () => {
  it('come as fast as they can where no speed is set, and end once', async () => {
    const { heard, ended } = await play(every(1000, 3000), Number.POSITIVE_INFINITY);
    await until(ended, 'the end');
    expect(heard.all).toHaveLength(3001);
  });

  it('do not come before their time', async () => {
    const { source, heard } = await play(every(10, 1000), 1);
    const began = performance.now();
    await until(() => heard.all.length > 10, 'ten records');
    expect(source.atMs).toBeLessThanOrEqual(performance.now() - began + 1);
  });

  it('wait while it is paused, and change speed on the way', async () => {
    const { source, heard, ended } = await play(every(10, 100_000), 1);
    source.pause();
    await settle(40);
    const paused = heard.all.length;
    await settle(60);
    expect(heard.all.length).toBe(paused);
    source.setSpeed(Number.POSITIVE_INFINITY);
    await settle(20);
    expect(heard.all.length).toBe(paused);
    source.resume();
    source.resume();
    await until(ended, 'the end');
    expect(heard.all).toHaveLength(100_001);
  });

  it('return to a speed after none', async () => {
    const { source, heard } = await play(every(50, 100_000), Number.POSITIVE_INFINITY);
    await until(() => heard.all.length > 100, 'some records');
    source.setSpeed(1);
    await settle(30);
    const slow = heard.all.length;
    await settle(100);
    expect(heard.all.length - slow).toBeLessThan(1000);
  });

  it('skip to a place and go on from there', async () => {
    const { source, heard } = await play(every(10, 100_000), 1);
    await source.skipUntil(() => source.atMs >= 500_000);
    const at = source.atMs;
    expect(at).toBeGreaterThanOrEqual(500_000);
    expect(at).toBeLessThan(500_000 + 10_000);
    await until(() => source.atMs > at, 'it goes on');
    expect(source.atMs).toBeLessThan(at + 60_000);
    const times = heard.all.flatMap((item) => (item.kind === 'record' ? [item.record] : []));
    expect(times).toHaveLength(source.atMs / 10 + 1);
  });

  it('do not make anybody wait for a night in between', async () => {
    const { heard, ended } = await play([record(0), record(3.6e7), 'unreadable', record(3.6e7)], 1);
    await until(ended, 'the end');
    expect(heard.all).toHaveLength(5);
  });

  it('may have no record at all', async () => {
    const { heard, ended } = await play([], 1);
    await until(ended, 'the end');
    expect(heard.all).toEqual([{ kind: 'ended' }]);
  });

  it('let go of what they are read from, once', async () => {
    let released = 0;
    const source = new PacedSource('replay', every(1, 5), Number.POSITIVE_INFINITY, () => {
      released += 1;
    });
    const heard = new Heard();
    await source.start(heard);
    await until(() => heard.all.at(-1)?.kind === 'ended', 'the end');
    await source.close();
    expect(released).toBe(1);
  });
});
