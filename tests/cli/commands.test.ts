import { copyFileSync, mkdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, it } from 'vitest';
import type { ReportJson } from '../../bridge/report/report-json.ts';
import { INVENTED_BENCH, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { truthOf } from '../../bridge/simulate/truth.ts';
import { temporaryFiles } from '../recording/temporary.ts';
import { answerQuestions } from '../serial/board.ts';
import { plugIn } from '../serial/pty.ts';
import { pageClient } from '../serve/page-client.ts';
import { until } from '../until.ts';
import type { Running } from './tenwire.ts';
import { builtTenwire, pageAddress } from './tenwire.ts';

const file = temporaryFiles();
const tenwire = builtTenwire();
let running: Running | null = null;
afterEach(async () => {
  running?.child.kill('SIGKILL');
  await running?.ended;
  running = null;
});

/** A page that looks on: the demo waits for one. Answers with its address. */
async function lookOn(demo: Running): Promise<string> {
  const address = await pageAddress(demo);
  await pageClient(Number(new URL(address).port), { role: 'watch', acks: true });
  return address;
}

let fixtureReport: ReportJson | null = null;
const reportOfFixture = (): ReportJson => {
  fixtureReport ??= reportOf(FIXTURE);
  return fixtureReport;
};

const FIXTURE = fileURLToPath(new URL('../../fixtures/comparison-four-sets.rec', import.meta.url));

function reportOf(path: string): ReportJson {
  const ran = tenwire.run(['report', '--json', path]);
  expect(ran.code).toBe(0);
  return JSON.parse(ran.out);
}

function start(...args: string[]): Running {
  running = tenwire.start(args, { cwd: file('.') });
  return running;
}

describe('tenwire demo', () => {
  it('--once ends with table, result, truth and recording, and the recording gives the same result', async () => {
    const demo = start('demo', '--once', '--speed', '1000', '--http-port', '0');
    expect(await demo.ended).toBe(0);
    const lines = demo.out().trim().split('\n');
    const path = lines.at(-1)?.replace('recording: ', '') ?? '';
    expect(path.startsWith(join(file('.'), 'recordings'))).toBe(true);
    const { result, sets } = reportOf(path);
    expect(sets).toHaveLength(4);
    const stated = /^E1\/E2 = ([\d.]+) ± ([\d.]+)$/m.exec(demo.out());
    expect(Number(stated?.[1])).toBeCloseTo(result?.value ?? 0, 5);
    const ratio = Number(/ V = ([\d.]+), end correction/.exec(demo.out())?.[1]);
    // Averaged over the time of the nulls: between what it was when the run began and what it would be ten minutes later.
    const scene = sceneWith({ seed: 1 });
    expect(ratio).toBeLessThan(truthOf(scene).ratio);
    expect(ratio).toBeGreaterThan(truthOf(scene, { fromS: 0, toS: 600 }).ratio);
    expect(Math.abs((result?.value ?? 0) - ratio)).toBeLessThan(result?.U ?? 0);
  });

  it('measures an internal resistance, too', async () => {
    const demo = start(
      ...['demo', '--once', '--speed', '1000', '--http-port', '0', '--out', 'r.rec'],
      ...['--procedure', 'internal-resistance'],
    );
    expect(await demo.ended).toBe(0);
    const { result } = reportOf(file('r.rec'));
    const { r1Ohm } = truthOf(sceneWith({}));
    expect(demo.out()).toContain(`truth of the simulated cells: r = ${r1Ohm} ohm`);
    expect(Math.abs((result?.value ?? 0) - r1Ohm)).toBeLessThan(result?.U ?? 0);
  });

  it('gives the same bytes for the same seed', async () => {
    for (const name of ['a.rec', 'b.rec'])
      expect(
        await start('demo', '--once', '--speed', '1000', '--http-port', '0', '--seed', '5', '--out', name)
          .ended,
      ).toBe(0);
    expect(readFileSync(file('a.rec')).equals(readFileSync(file('b.rec')))).toBe(true);
  });

  it('goes on being served until it is asked to end', async () => {
    const demo = start('demo', '--speed', '1000', '--http-port', '0');
    const url = await lookOn(demo);
    await until(() => demo.err().includes('goes on being served'), 'the end of the simulation');
    expect((await fetch(url)).status).toBe(200);
    demo.child.kill('SIGTERM');
    expect(await demo.ended).toBe(0);
  });

  it('keeps what there is when it is asked to end on its way', async () => {
    const demo = start('demo', '--speed', '1', '--http-port', '0', '--out', 'a.rec');
    await lookOn(demo);
    await until(() => readFileSync(file('a.rec'), 'utf8').split('\n').length > 100, 'some lines');
    demo.child.kill('SIGINT');
    expect(await demo.ended).toBe(1);
    expect(demo.out()).toContain('recording:');
    expect(reportOf(file('a.rec')).stream.samples).toBeGreaterThan(50);
  });

  it('goes on to its end where nobody reads what it prints any more (`| head -1`)', async () => {
    const demo = start('demo', '--once', '--speed', '200', '--http-port', '0', '--out', 'a.rec');
    await until(() => demo.out().includes('page:'), 'it runs');
    demo.child.stdout?.destroy();
    demo.child.stderr?.destroy();
    expect(await demo.ended).toBe(0);
    expect(reportOf(file('a.rec')).result).not.toBeNull();
  });

  it('warns loudly when its recording is taken away, and goes on', async () => {
    mkdirSync(file('folder'));
    const demo = start('demo', '--speed', '5', '--http-port', '0', '--out', 'folder/a.rec');
    await lookOn(demo);
    rmSync(file('folder'), { recursive: true });
    await until(() => demo.err().includes('WARNING: the recording'), 'the warning');
    demo.child.kill('SIGINT');
    expect(await demo.ended).toBe(1);
  });

  it('takes the next free port where the wanted one is taken, and says so', async () => {
    const taken = createServer();
    await new Promise<void>((done) => taken.listen({ host: '127.0.0.1', port: 0 }, done));
    const address = taken.address();
    const port = typeof address === 'object' && address !== null ? address.port : 0;
    const demo = start('demo', '--once', '--speed', '1000', '--http-port', String(port));
    expect(await demo.ended).toBe(0);
    expect(demo.err()).toContain(`port ${port} is taken`);
    taken.close();
  });
});

describe('tenwire serve', () => {
  async function post(url: string, what: string, body: unknown): Promise<Record<string, unknown>> {
    const headers = { Origin: url.replace(/\/$/, '') };
    const response = await fetch(`${url}api/${what}`, {
      method: 'POST',
      headers,
      body: JSON.stringify(body),
    });
    return response.json();
  }

  it('serves the page without a run, begins one from there, and reports it like any other', async () => {
    const pty = await plugIn(file('port'));
    const stop = answerQuestions(pty, 'SIM-07');
    const serve = start('serve', '--http-port', '0');
    const url = await pageAddress(serve);
    expect(await post(url, 'save', { file: 'b.json', bench: INVENTED_BENCH, run: null })).toMatchObject({
      ok: true,
    });
    const order = { baud: 115_200, file: 'b.json', by: ['A. Tester'], temperatureC: 21.5 };
    const begin = (port: string) => post(url, 'start', { ...order, port, procedure: 'emf-comparison' });
    expect(await begin('/dev/none')).toMatchObject({
      ok: false,
      text: 'there is no port /dev/none: is the board plugged in?',
    });
    // What listens for set-up hands its port over to the run.
    const port = { port: file('port'), baud: 115_200 };
    expect(await post(url, 'listen', port)).toEqual({ ok: true, from: 'set-up' });
    const { session } = await begin(file('port'));
    await until(() => serve.err().includes('board SIM-07 at'), 'the link');
    expect(await post(url, 'listen', port)).toEqual({ ok: true, from: session });
    const page = await pageClient(Number(new URL(url).port), { acks: true });
    page.send({ type: 'counts', from: String(session) });
    const boardOf = () => page.frames().at(-1)?.counts?.counts?.board?.name;
    await until(() => boardOf() === 'SIM-07', 'the counts of the board');
    page.socket.close();
    expect(await begin(file('port'))).toMatchObject({
      ok: false,
      text: expect.stringContaining('is the port of Bench 7 (invented), which is on'),
    });
    const recording = `${session}.rec`;
    expect(await post(url, 'resume', { ...port, file: recording })).toMatchObject({
      ok: false,
      text: `${recording} is the recording of a run that is on.`,
    });

    // Ended on the page, and taken up again in the same recording, by the same name.
    expect(await post(url, 'end', { session })).toEqual({ ok: true });
    const bytes = statSync(file(`recordings/${recording}`)).size;
    expect(await post(url, 'resume', { ...port, file: recording })).toEqual({ ok: true, session });
    await until(() => serve.err().split('board SIM-07 at').length === 3, 'the link again');
    expect(statSync(file(`recordings/${recording}`)).size).toBeGreaterThan(bytes);
    serve.child.kill('SIGINT');
    expect(await serve.ended).toBe(0);
    stop();
    await pty.unplug();
    const path = /^recording: (.+)$/m.exec(serve.out())?.[1] ?? '';
    expect(serve.out()).toContain(`a run was begun on the page; recording: ${path}`);
    expect(readFileSync(path, 'utf8')).toContain('"by":["A. Tester"]');
    expect(readFileSync(path, 'utf8')).toContain('"kind":"resumed"');
  });
});

describe('tenwire run', () => {
  it('records a board at a port, lives through an unplugged cable, and takes the recording up again', async () => {
    writeFileSync(file('bench.json'), JSON.stringify({ ...INVENTED_BENCH, ours: { kept: true } }));
    const lines = [...simulateRun(sceneWith({}))].flatMap(({ mark, payload }) =>
      mark === '<' ? [payload] : [],
    );
    let pty = await plugIn(file('port'));
    let stop = answerQuestions(pty, 'SIM-07');
    const about = ['--by', 'A. Tester, B. Tester', '--temperature', '21,5'];
    const options = ['--port', file('port'), '--out', 'a.rec', '--http-port', '0'];
    const run = start('run', ...options, '--bench', 'bench.json', ...about);
    await until(() => run.err().includes('board SIM-07 at'), 'the link');
    pty.send(
      lines
        .slice(0, 3000)
        .map((line) => `${line}\n`)
        .join(''),
    );
    await until(() => readFileSync(file('a.rec'), 'utf8').includes(lines[2999]), 'the first lines');
    stop();
    await pty.unplug();
    await until(() => run.err().includes('waiting for board SIM-07'), 'word of the loss');
    pty = await plugIn(file('port'));
    stop = answerQuestions(pty, 'SIM-07');
    await until(() => run.err().split('board SIM-07 at').length === 3, 'the link again');
    pty.send(
      lines
        .slice(3000, 6000)
        .map((line) => `${line}\n`)
        .join(''),
    );
    await until(() => readFileSync(file('a.rec'), 'utf8').includes(lines[5999]), 'the lines after it');
    run.child.kill('SIGINT');
    expect(await run.ended).toBe(0);

    const again = start('run', ...options, '--resume', '--by', 'C. Tester');
    await until(() => again.err().includes('board SIM-07 at'), 'the link of the second run');
    pty.send(
      lines
        .slice(6000, 9000)
        .map((line) => `${line}\n`)
        .join(''),
    );
    await until(() => readFileSync(file('a.rec'), 'utf8').includes(lines[8999]), 'the last lines');
    again.child.kill('SIGTERM');
    expect(await again.ended).toBe(0);
    stop();
    await pty.unplug();

    const events = readFileSync(file('a.rec'), 'utf8')
      .split('\n')
      .flatMap((line) => (line.includes(' ! ') ? [JSON.parse(line.slice(line.indexOf(' ! ') + 3))] : []));
    expect(events.map((event) => event.kind)).toEqual([
      'bench',
      'about',
      'link',
      'link',
      'link',
      'resumed',
      'about',
      'link',
    ]);
    expect(events[6]).toEqual({ kind: 'about', by: ['C. Tester'] });
    expect(events[0].bench.ours).toEqual({ kept: true });
    expect(events[1]).toMatchObject({ by: ['A. Tester', 'B. Tester'], temperatureC: 21.5 });
    const { stream } = reportOf(file('a.rec'));
    expect(stream).toMatchObject({ badLines: 0, lostSamples: 0, boots: 1 });
  });
});

describe('tenwire replay', () => {
  it('ends where it can not listen on what it was given', async () => {
    const replay = start('replay', FIXTURE, '--listen', '203.0.113.1', '--http-port', '0');
    expect(await replay.ended).toBe(1);
    expect(replay.err()).toMatch(/Can't listen on 203\.0\.113\.1/);
  });

  it('plays a recording to the result that a report gives', async () => {
    const replay = start('replay', FIXTURE, '--speed', '1000', '--http-port', '0');
    await until(() => replay.err().includes('goes on being served'), 'the end of the replay');
    const value = reportOfFixture().result?.value ?? 0;
    const stated = /^E1\/E2 = ([\d.]+) ±/m.exec(replay.out());
    expect(Number(stated?.[1])).toBeCloseTo(value, 4);
    replay.child.kill('SIGINT');
    expect(await replay.ended).toBe(0);
  });
});

describe('tenwire report', () => {
  it('reads what can be read of a damaged recording, counts the rest and says so', () => {
    const text = readFileSync(FIXTURE, 'utf8');
    const whole = reportOfFixture();
    const lines = text.split('\n');
    lines[2000] = `${lines[2000].slice(0, -3)}XYZ`;
    lines[2500] = 'no record';
    writeFileSync(file('a.rec'), lines.join('\n').slice(0, -15));
    const damaged = reportOf(file('a.rec'));
    expect(damaged.stream.badLines).toBe(whole.stream.badLines + 2);
    const codes = damaged.findings.map((finding) => finding.code);
    expect(codes).toContain('recording-torn');
    expect(codes).toContain('lines-damaged');
    expect(damaged.result).not.toBeNull();
  });

  it('gives a script one object and nothing else on its standard output', () => {
    const ran = tenwire.run(['report', '--json', FIXTURE]);
    expect(JSON.parse(ran.out)).toMatchObject({ format: 'tenwire-report/1', procedure: 'emf-comparison' });
    expect(ran.err).toBe('');
    expect(tenwire.run(['report', '--json', FIXTURE, FIXTURE]).code).toBe(2);
  });

  it('makes a table of several recordings, and goes on past one that is none', () => {
    copyFileSync(FIXTURE, file('a.rec'));
    writeFileSync(file('b.rec'), 'a letter');
    const ran = tenwire.run(['report', '--csv', '--out', '-', file('a.rec'), file('b.rec')]);
    expect(ran.code).toBe(1);
    expect(ran.err).toContain('b.rec is not a recording');
    expect(ran.out).toContain('a.rec');
  });
});
