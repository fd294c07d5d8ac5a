import { rmSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { BenchSetup } from '../../bridge/bench-setup/bench-setup.ts';
import { type RunningServer, serve } from '../../bridge/serve/server.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { type SessionRegistry, sessionRegistry } from '../../bridge/session/session-registry.ts';
import { builtBackground } from '../bench-setup/built-background.ts';
import { helloOf, sampleOf } from '../serial/board.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';
import { pageClient } from './page-client.ts';
import { runWithBoard } from './run-with-board.ts';

let folder: string;
let sessions: SessionRegistry;
let setup: BenchSetup;
let server: RunningServer;

beforeEach(async () => {
  folder = temporaryFolder();
  sessions = sessionRegistry();
  const folders = { recordingsFolder: folder, benchesFolder: folder };
  setup = new BenchSetup({
    sessions,
    makeRun: await runMaker(),
    ...folders,
    background: builtBackground(),
  });
  const outcome = await serve({ sessions, setup, pageFolder: folder, port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  server = outcome.server;
});

afterEach(async () => {
  await server.close();
  await setup.close();
  rmSync(folder, { recursive: true });
});

describe('counts on the page', () => {
  it('come by themselves over the WebSocket, only when they have changed, until they are no longer wanted', async () => {
    const { session, listeners, say } = runWithBoard('run');
    sessions.add(session);
    const page = await pageClient(server.port, { acks: true });
    const counts = () => page.frames().flatMap((frame) => frame.counts ?? []);
    page.send({ type: 'counts', from: 'run' });
    await until(() => counts().length > 0, 'the first counts');
    expect(counts()[0]).toMatchObject({ from: 'run', counts: { board: null, gal: null } });
    say(`${helloOf('b4')}\n${sampleOf(7)}`);
    await until(() => counts().length > 1, 'the counts of the board');
    expect(counts()[1]).toMatchObject({ counts: { board: { name: 'b4' }, gal: 2048 } });
    sessions.remove('run');
    await until(() => counts().length > 2, 'the end of the run');
    expect(counts()[2]).toMatchObject({ counts: null, link: { descriptor: { key: 'no-counts' } } });
    sessions.add(session);
    expect(listeners.size).toBe(1);
    const seen = counts();
    expect(seen.every((one, place) => JSON.stringify(one) !== JSON.stringify(seen[place + 1]))).toBe(true);
    page.send({ type: 'counts', from: null });
    await until(() => listeners.size === 0, 'that the run is no longer listened to');
    page.send({ type: 'counts', from: 'run' });
    await until(() => listeners.size === 1, 'that the run is listened to');
    page.socket.close();
    await until(() => listeners.size === 0, 'that a page that is gone follows nothing');
  });

  it('are not for a page that only watches', async () => {
    const page = await pageClient(server.port, { role: 'watch', acks: true });
    page.send({ type: 'counts', from: 'set-up' });
    await until(() => page.heard.some(({ type }) => type === 'error'), 'a refusal');
    expect(page.frames()).toEqual([]);
  });
});
