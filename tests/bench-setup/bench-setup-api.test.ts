import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { BenchSetup } from '../../bridge/bench-setup/bench-setup.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { type RunningServer, serve } from '../../bridge/serve/server.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { type SessionRegistry, sessionRegistry } from '../../bridge/session/session-registry.ts';
import { answerQuestions } from '../serial/board.ts';
import { plugIn } from '../serial/pty.ts';
import { sampleBench } from '../serve/sample-view.ts';
import { builtBackground } from './built-background.ts';
import { CAN_FILL, onFullDisk } from './full-disk.ts';

let folder: string;
let server: RunningServer;
let setup: BenchSetup;
let sessions: SessionRegistry;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-setup-'));
  writeFileSync(join(folder, 'index.html'), '<!doctype html>');
  sessions = sessionRegistry();
  setup = new BenchSetup({
    sessions,
    makeRun: await runMaker(),
    recordingsFolder: join(folder, 'recordings'),
    benchesFolder: join(folder, 'benches'),
    background: builtBackground(),
  });
  const outcome = await serve({ sessions, setup, pageFolder: folder, port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  server = outcome.server;
});

afterEach(async () => {
  await server.close();
  await setup.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Got {
  status: number;
  // The shapes differ from route to route; tests look at what they name.
  body: Record<string, unknown>;
}

function ask(
  method: string,
  path: string,
  body?: unknown,
  headers: Record<string, string> = {},
): Promise<Got> {
  const origin: Record<string, string> =
    method === 'POST' ? { Origin: `http://127.0.0.1:${server.port}` } : {};
  const text = body === undefined || typeof body === 'string' ? body : JSON.stringify(body);
  return new Promise((resolve, reject) => {
    const sent = request(
      { host: '127.0.0.1', port: server.port, path, method, headers: { ...origin, ...headers } },
      (response) => {
        let got = '';
        response.on('data', (chunk) => {
          got += chunk;
        });
        response.on('end', () => {
          const status = response.statusCode ?? 0;
          resolve({ status, body: status === 200 ? JSON.parse(got) : {} });
        });
      },
    );
    sent.on('error', reject);
    sent.end(text);
  });
}

const fixture = (name: string): string => readFileSync(join('fixtures', name), 'utf8');

describe('who may ask', () => {
  it('answers no other site, by whatever way it asks', async () => {
    const save = { file: 'b.json', bench: sampleBench, run: null };
    for (const Origin of ['http://evil.example', 'null', `https://127.0.0.1:${server.port}`]) {
      expect((await ask('POST', '/api/save', save, { Origin })).status).toBe(403);
      expect((await ask('POST', '/api/benches', {}, { Origin })).status).toBe(403);
    }
    expect((await ask('POST', '/api/save', save, { Host: 'evil.example' })).status).toBe(421);
    for (const method of ['GET', 'PUT']) expect((await ask(method, '/api/benches')).status).toBe(405);
    expect((await ask('POST', '/api/constructor', {})).status).toBe(404);
    expect((await ask('POST', '/api/benches', {})).body).toEqual({ ok: true, benches: [] });
  });

  it('answers with a sentence where the setup fails', async () => {
    const unsayable = { ok: true, benches: [1n] } as unknown as ReturnType<BenchSetup['benches']>;
    for (const answer of [() => unsayable, () => JSON.parse('{')]) {
      setup.benches = answer;
      expect((await ask('POST', '/api/benches', {})).body).toMatchObject({
        ok: false,
        text: expect.stringMatching(/failed/),
      });
    }
  });

  it('answers senseless bodies with a sentence', async () => {
    for (const body of ['', '{', '[]', '{"points":[{"counts":"a"}]}', 'x'.repeat(300_000)]) {
      expect((await ask('POST', '/api/fit', body)).body).toMatchObject({ ok: false });
    }
  });
});

describe('benches', () => {
  it('are saved, listed and read back', async () => {
    const saved = await ask('POST', '/api/save', { file: 'b.json', bench: sampleBench, run: null });
    expect(saved.body).toEqual({ ok: true, saved: 'b.json', kept: false });
    expect((await ask('POST', '/api/bench', { file: 'b.json' })).body).toEqual({
      ok: true,
      bench: sampleBench,
      history: [],
    });
    expect((await ask('POST', '/api/bench', { file: '../index.html' })).body).toMatchObject({ ok: false });
  });
});

describe('a recording that is taken up again where results are hidden', () => {
  it('has them hidden from then on, as a run that is begun', async () => {
    const recordings = join(folder, 'recordings');
    mkdirSync(recordings);
    writeFileSync(join(recordings, 'old.rec'), fixture('comparison-four-sets.rec'));
    const hiding = new BenchSetup({
      sessions,
      makeRun: await runMaker(),
      recordingsFolder: recordings,
      benchesFolder: join(folder, 'benches'),
      background: builtBackground(),
      hideResults: true,
    });
    const board = await plugIn(join(folder, 'port'));
    const stop = answerQuestions(board, 'b1');
    const begun = await hiding.resume({ file: 'old.rec', port: board.path, baud: 115_200 });
    expect(begun).toMatchObject({ ok: true });
    const session = sessions.get((begun as unknown as { session: string }).session);
    expect(session?.view().work.outcome?.result).not.toBeNull();
    expect(session?.view().resultsHidden).toBe(true);
    await (session as RunSession).close();
    await hiding.close();
    stop();
    await board.unplug();
  });
});

describe('recordings', () => {
  it('are dropped, listed, replayed and closed again', async () => {
    const dropped = await ask(
      'POST',
      '/api/drop?name=my%20run%2F..%2Fx.rec',
      fixture('comparison-four-sets.rec'),
    );
    expect(dropped.body).toEqual({ ok: true, file: 'my-run-..-x.rec' });
    const again = await ask(
      'POST',
      '/api/drop?name=my%20run%2F..%2Fx.rec',
      fixture('comparison-four-sets.rec'),
    );
    expect(again.body).toEqual({ ok: true, file: 'my-run-..-x-2.rec' });
    expect((await ask('POST', '/api/recordings', {})).body.recordings).toHaveLength(2);
    const replay = await ask('POST', '/api/replay', { file: 'my-run-..-x.rec' });
    expect(sessions.list()).toMatchObject([{ id: replay.body.session, kind: 'replay' }]);
    expect((await ask('POST', '/api/end', { session: replay.body.session })).body).toEqual({ ok: true });
    expect(sessions.list()).toEqual([]);
  });

  it('are given out as a record, tables and JSON', async () => {
    await ask('POST', '/api/drop?name=a.rec', fixture('comparison-four-sets.rec'));
    const { body } = await ask('POST', '/api/replay', { file: 'a.rec' });
    const give = async (kind: string) =>
      (await ask('POST', '/api/export', { session: body.session, as: kind })).body;
    expect(await give('page')).toMatchObject({ ok: true, text: expect.stringMatching(/^<!doctype html>/) });
    expect((await give('sets')).text).toMatch(/\r\n/);
    expect(await give('nulls')).toMatchObject({ ok: true, type: 'text/csv', name: 'a-nulls.csv' });
    expect(await give('constructor')).toMatchObject({ ok: false });
    expect((await ask('POST', '/api/export', { session: 'none', as: 'page' })).body).toMatchObject({
      ok: false,
    });
    await ask('POST', '/api/end', { session: body.session });
  });

  it('are worked on two at a time while eight more wait; who asks then is refused', async () => {
    await ask('POST', '/api/drop?name=a.rec', fixture('comparison-four-sets.rec'));
    const first = [1, 2].map(() => setup.whole({ file: 'a.rec' }, false));
    await new Promise((resolve) => setImmediate(resolve));
    const more = Array.from({ length: 9 }, () => setup.whole({ file: 'a.rec' }, false));
    expect(await more[8]).toMatchObject({ ok: false, descriptor: { key: 'too-busy' } });
    for (const asked of [...first, ...more.slice(0, 8)]) expect(await asked).toMatchObject({ ok: true });
  });

  it('may be replayed eight at a time', async () => {
    await ask('POST', '/api/drop?name=a.rec', fixture('comparison-four-sets.rec'));
    for (let open = 0; open < 8; open += 1)
      expect(await setup.replay({ file: 'a.rec' })).toMatchObject({ ok: true });
    expect(await setup.replay({ file: 'a.rec' })).toMatchObject({ descriptor: { key: 'replays-many' } });
    for (const { id } of sessions.list()) expect(await setup.end({ session: id })).toEqual({ ok: true });
    const after = await setup.replay({ file: 'a.rec' });
    expect(after).toMatchObject({ ok: true });
    if (after.ok) await setup.end({ session: after.session });
  });

  it('that are none are refused, and nothing of them is kept', async () => {
    const dropped = await ask('POST', '/api/drop?name=letter.rec', 'Dear laboratory,\n');
    expect(dropped.body).toMatchObject({
      ok: false,
      text: expect.stringContaining('letter.rec is not a recording'),
    });
    expect((await ask('POST', '/api/recordings', {})).body.recordings).toEqual([]);
    expect((await ask('POST', '/api/replay', { file: '../index.html' })).body).toMatchObject({ ok: false });
  });

  it('are each kept under a name of their own where two of one name come at once', async () => {
    const text = fixture('comparison-four-sets.rec');
    const drops = [1, 2, 3].map(() => ask('POST', '/api/drop?name=same.rec', text));
    const files = (await Promise.all(drops)).map(({ body }) => body.file);
    expect(files.sort()).toEqual(['same-2.rec', 'same-3.rec', 'same.rec']);
    for (const file of files) {
      expect(readFileSync(join(folder, 'recordings', String(file)), 'utf8')).toBe(text);
    }
  });

  it.runIf(CAN_FILL)('are refused with a sentence where the disk is full', async () => {
    const text = fixture('comparison-four-sets.rec');
    const dropped = await onFullDisk(4096, () => ask('POST', '/api/drop?name=a.rec', text));
    expect(dropped.body).toMatchObject({ ok: false, text: expect.stringMatching(/could not be taken in/) });
    expect(readdirSync(join(folder, 'recordings'))).toEqual([]);
  });

  it('are listed also where a link leads nowhere', async () => {
    await ask('POST', '/api/drop?name=a.rec', fixture('comparison-four-sets.rec'));
    symlinkSync('gone', join(folder, 'recordings', 'link.rec'));
    const { body } = await ask('POST', '/api/recordings', {});
    expect(body).toMatchObject({ ok: true, recordings: [{ file: 'a.rec' }] });
  });

  it('are folded whole for comparing', async () => {
    await ask('POST', '/api/drop?name=a.rec', fixture('comparison-four-sets.rec'));
    const { body } = await ask('POST', '/api/whole', { file: 'a.rec' });
    expect(body).toMatchObject({ ok: true, view: { work: { procedure: 'emf-comparison' } } });
    expect((body.view as RunView).work.sets).toHaveLength(4);
  });
});
