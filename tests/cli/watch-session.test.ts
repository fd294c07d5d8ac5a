import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { processTerminal } from '../../bridge/commands/terminal.ts';
import { watchSession } from '../../bridge/commands/watch-session.ts';
import type { RunEvent } from '../../bridge/run/events.ts';
import { openSession } from '../../bridge/session/open-session.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { HandSource, sessionStand } from '../session/stand.ts';

/** What the terminal is told of a run, and how often the run is looked at for it. */

const stand = sessionStand();
beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] });
});
afterEach(() => {
  vi.useRealTimers();
});

const opening: RunEvent[] = [{ kind: 'bench', bench: { ...INVENTED_BENCH } }];

async function watched(isTerminal: boolean) {
  const written: string[] = [];
  const stream = { write: (text: string) => written.push(text) > 0, isTTY: isTerminal };
  const source = new HandSource();
  const path = stand.path('a.rec');
  const opened = await openSession({
    id: 's',
    title: 'a bench',
    kind: 'live',
    source,
    path,
    begin: 'create',
    opening,
    makeRun: stand.makeRun,
  });
  if (!opened.ok) throw new Error(opened.text);
  const { session } = opened;
  const look = vi.spyOn(session, 'view');
  const terminal = processTerminal({ stdout: stream, stderr: stream, stdin: {} });
  const stop = watchSession(session, terminal, () => `${session.view().stream.samples} samples`);
  return { written, session, look, stop };
}

test('a run in which nothing happens is not looked at where nobody sees how it gets on', async () => {
  const { session, look, stop, written } = await watched(false);
  vi.advanceTimersByTime(300);
  const before = look.mock.calls.length;
  vi.advanceTimersByTime(60_000);
  expect(look.mock.calls.length).toBe(before);
  session.recordEvent({ kind: 'length', cell: 1, row: 8, scaleCm: 43.2 });
  vi.advanceTimersByTime(300);
  expect(written.join('')).toContain('n1: set 1, cell 1');
  expect(written.join('')).not.toContain('samples');
  stop();
  await session.close();
});

test('a terminal shows how the run gets on', async () => {
  const { session, stop, written } = await watched(true);
  vi.advanceTimersByTime(300);
  expect(written.join('')).toContain('0 samples');
  stop();
  await session.close();
});
