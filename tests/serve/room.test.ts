import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type RunningServer, serve } from '../../bridge/serve/server.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { until } from '../until.ts';
import { handDrivenSession } from './hand-driven-session.ts';
import { pageClient } from './page-client.ts';

const folder = mkdtempSync(join(tmpdir(), 'tenwire-room-'));
const bench = handDrivenSession();
let server: RunningServer;

beforeAll(async () => {
  writeFileSync(join(folder, 'index.html'), '<!doctype html>');
  const sessions = sessionRegistry();
  sessions.add(bench.session);
  const outcome = await serve({ sessions, pageFolder: folder, port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  ({ server } = outcome);
});
afterAll(async () => {
  await server.close();
  rmSync(folder, { recursive: true });
});

const touch = (atS: number, currentUa: number) =>
  bench.read({ atS, contact: true, lengthCm: 500 - currentUa / 10, currentUa, cell: 1, driverMa: 110 });

it('a crossing is in the first frame that has its reading, once, and not told to who comes later', async () => {
  const page = await pageClient(server.port, { role: 'watch', acks: true });
  page.send({ type: 'open', session: 'bench-4' });
  await until(() => page.frames().some((frame) => frame.view !== undefined), 'the view');
  for (let n = 0; n < 40; n += 1) bench.read({ atS: n / 400, contact: false, currentUa: 0.01 * (n % 3) });
  for (let n = 20; n < 100; n += 1) touch(n / 200, 20 - n / 10 + 9);
  touch(0.5, -0.5);
  touch(0.505, -3);
  await until(() => page.frames().some((frame) => frame.points?.tS.includes(0.505)), 'its reading');
  const first = page.frames().find((frame) => frame.points?.tS.some((tS) => tS >= 0.5));
  expect(first?.crossing).toMatchObject({ number: 1, by: 'sweep', cell: 1, fine: true });
  expect(page.frames().filter((frame) => frame.crossing !== undefined)).toHaveLength(1);
  const later = await pageClient(server.port, { role: 'watch', acks: true });
  later.send({ type: 'open', session: 'bench-4' });
  await until(() => later.frames().some((frame) => frame.view !== undefined), 'the view');
  expect(later.frames().every((frame) => frame.crossing === undefined)).toBe(true);
});

it('a page that steers chooses what the room sees; one that watches may not', async () => {
  const room = await pageClient(server.port, { role: 'watch', acks: true });
  const desk = await pageClient(server.port, { role: 'steer', acks: true });
  for (const page of [room, desk]) page.send({ type: 'open', session: 'bench-4' });
  const seen = () => room.frames().flatMap((frame) => frame.room ?? []);
  await until(() => seen().length === 1, 'what it shows at first');
  room.send({ type: 'room', shows: 'nothing' });
  await room.hasHeardAll();
  expect(room.heard.some((message) => message.type === 'error' && message.code === 'may-not-steer')).toBe(
    true,
  );
  desk.send({ type: 'room', shows: 'table' });
  await until(() => seen().length === 2, 'the choice');
  expect(seen()).toEqual(['by itself', 'table']);
});
