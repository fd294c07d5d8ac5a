import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { CountsWatches } from '../../bridge/bench-setup/counts-watches.ts';
import { SET_UP, type SessionRegistry, sessionRegistry } from '../../bridge/session/session-registry.ts';
import { helloOf, sampleOf } from '../serial/board.ts';
import { type Pty, plugIn, temporaryFolder } from '../serial/pty.ts';
import { runWithBoard } from '../serve/run-with-board.ts';
import { until } from '../until.ts';

let folder: string;
let boards: Pty[];
let sessions: SessionRegistry;
let watches: CountsWatches;

beforeEach(async () => {
  folder = temporaryFolder();
  boards = [await plugIn(join(folder, 'one')), await plugIn(join(folder, 'other'))];
  sessions = sessionRegistry();
  watches = new CountsWatches(sessions);
});

afterEach(async () => {
  await watches.close();
  for (const board of boards) await board.unplug();
  rmSync(folder, { recursive: true });
});

const baud = 115_200;

/** Whether another program could have the port now. */
async function isFree(port: string): Promise<boolean> {
  const other = new CountsWatches(sessionRegistry());
  const { ok } = await other.openPort({ port, baud });
  await other.close();
  return ok;
}

describe('a port that is open for set-up', () => {
  it('gives its counts, and is free again once it is closed', async () => {
    const [{ path: port, send }] = boards;
    expect(await watches.openPort({ port, baud })).toEqual({ ok: true, from: SET_UP });
    send(`${helloOf('b4')}\n${sampleOf(7)}\n`);
    await until(() => watches.counts(SET_UP).counts?.gal === 2048, 'counts of the board');
    expect(await isFree(port)).toBe(false);
    await watches.closePort();
    expect(watches.counts(SET_UP)).toMatchObject({
      counts: null,
      link: { descriptor: { key: 'no-counts' } },
    });
    expect(await isFree(port)).toBe(true);
  });

  it('is closed also where two were asked for at once', async () => {
    await Promise.all(boards.map(({ path: port }) => watches.openPort({ port, baud })));
    expect(await isFree(boards[0].path)).toBe(true);
    await watches.closePort();
    for (const { path } of boards) expect(await isFree(path)).toBe(true);
  });

  it('is lent to a run, and opened again where the run can not begin', async () => {
    const [{ path: port }] = boards;
    await watches.openPort({ port, baud });
    let free = false;
    await watches.withoutPort(async () => {
      free = await isFree(port);
      return { ok: false };
    });
    expect(free).toBe(true);
    expect(await isFree(port)).toBe(false);
    await watches.withoutPort(async () => ({ ok: true }));
    expect(await isFree(port)).toBe(true);
  });
});

describe('the counts of a run', () => {
  it('are known while somebody follows them, and the run is not listened to before or after', () => {
    const { session, listeners, say } = runWithBoard('run');
    sessions.add(session);
    const letGo = [watches.follow('run'), watches.follow('run')];
    expect(listeners.size).toBe(1);
    say(`${helloOf('b4')}\n${sampleOf(7)}`);
    expect(watches.counts('run').counts).toMatchObject({ gal: 2048 });
    letGo[0]();
    letGo[0]();
    expect(listeners.size).toBe(1);
    letGo[1]();
    expect(listeners.size).toBe(0);
    expect(watches.counts('run').counts).toBeNull();
  });

  it('end with the run, and begin with one that comes later under the name', () => {
    const first = runWithBoard('run');
    const letGo = watches.follow('run');
    expect(watches.counts('run').counts).toBeNull();
    sessions.add(first.session);
    expect(first.listeners.size).toBe(1);
    sessions.remove('run');
    expect(first.listeners.size).toBe(0);
    expect(watches.counts('run').counts).toBeNull();
    const second = runWithBoard('run');
    sessions.add(second.session);
    expect(second.listeners.size).toBe(1);
    letGo();
  });
});
