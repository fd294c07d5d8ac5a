import { execFileSync, spawnSync } from 'node:child_process';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { openBoardAtPort } from '../../bridge/emulate/board-at-port.ts';
import { heldBench } from '../../bridge/emulate/held-bench.ts';
import { sceneAtBoard } from '../../bridge/emulate/scene-board.ts';
import { COMPARISON, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { truthOf } from '../../bridge/simulate/truth.ts';
import { launchChromium, openPage } from '../end-to-end/browser.ts';
import { until } from '../until.ts';
import { CONSOLE_COLUMNS, setUpWine, type Wine, type WineProcess, windowsPath } from './wine.ts';

/**
 * `npm run test:windows`: the folder that `npm run bundle` makes for Windows, tried under Wine, from a path with a space and
 * umlauts. Wine is not Windows: what this shows, and what it can't, stands in docs/platforms.md.
 */

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const PATIENCE_MS = 400_000;
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
const ESCAPES = /\x1b\[[0-9;?]*[a-zA-Z]/g;

const work = mkdtempSync(join(tmpdir(), 'tenwire-windows-'));
const place = join(work, 'Füße und Übung');
mkdirSync(place);

const failures: string[] = [];

/** Each part by itself: one that fails does not hide the others. */
async function part(what: string, body: () => Promise<string | undefined>): Promise<void> {
  try {
    const measured = await body();
    console.log(`ok    ${what}${measured === undefined ? '' : `: ${measured}`}`);
  } catch (error) {
    failures.push(what);
    console.log(`FAILS ${what}: ${error instanceof Error ? error.message : error}`);
  }
}

function expectThat(truth: boolean, what: string): asserts truth {
  if (!truth) throw new Error(what);
}

/** The same program under this system's Node. */
function here(...args: string[]): string {
  const ran = spawnSync(process.execPath, [join(ROOT, 'dist/bridge/cli.js'), ...args], { encoding: 'utf8' });
  expectThat(ran.status === 0, ran.stderr);
  return ran.stdout;
}

function bundle(): string {
  const made = join(work, 'bundle');
  execFileSync(process.execPath, [join(ROOT, '.ci/bundle.mjs'), made, 'win-x64'], { stdio: 'inherit' });
  const [archive] = readdirSync(made).filter((name) => name.endsWith('.zip'));
  // Unpacked by something that shares no code with what packed it.
  const unzip = 'import sys, zipfile; zipfile.ZipFile(sys.argv[1]).extractall(sys.argv[2])';
  execFileSync('python3', ['-c', unzip, join(made, archive), place]);
  return join(place, archive.replace('.zip', ''));
}

const folder = bundle();
const wine = await setUpWine(join(work, 'wine'));
const program = [
  windowsPath(join(folder, 'node.exe')),
  windowsPath(join(folder, 'program/node_modules/tenwire/dist/bridge/cli.js')),
];
/** Where the runs of the demo and the page are kept. */
const AT_HOME = ['--http-port', '0', '--home', windowsPath(join(place, 'Labor'))];
const tenwire = (...args: string[]) => wine.run([...program, ...args]);

await part('the start script runs a command', async () => {
  const { code, out, err } = await wine.run([
    'cmd',
    '/c',
    windowsPath(join(folder, 'tenwire.cmd')),
    'doctor',
  ]);
  expectThat(code === 0 && out.includes('ok    Node'), `${code} ${out} ${err}`);
  return out.split('\n')[0].trim();
});

const fixtures = readdirSync(join(ROOT, 'fixtures')).filter((name) => name.endsWith('.rec'));
for (const name of fixtures)
  await part(`report of ${name}, to the last digit`, async () => {
    const path = join(ROOT, 'fixtures', name);
    const { code, out, err } = await tenwire('report', '--json', windowsPath(path));
    expectThat(code === 0, err);
    expectThat(out === here('report', '--json', path), 'other than on this system');
    return undefined;
  });

await part('a record for printing, the same text', async () => {
  const path = join(place, 'Prüfling.rec');
  copyFileSync(join(ROOT, 'fixtures/emulated-board.rec'), path);
  const { code, err } = await tenwire(
    'report',
    windowsPath(path),
    '--out',
    windowsPath(join(place, 'wine.html')),
  );
  expectThat(code === 0, err);
  here('report', path, '--out', join(place, 'here.html'));
  const [there, own] = ['wine.html', 'here.html'].map((name) => readFileSync(join(place, name), 'utf8'));
  expectThat(there === own, 'other than on this system');
  return undefined;
});

await part('a bench file with CRLF and a byte order mark', async () => {
  const text = readFileSync(join(ROOT, 'fixtures/bench-example.json'), 'utf8');
  const path = join(place, 'Bank 4.json');
  writeFileSync(path, `\ufeff${text.replaceAll('\n', '\r\n')}`);
  const { code, out, err } = await tenwire('plan', '--bench', windowsPath(path), '--json');
  expectThat(code === 0, err);
  expectThat(
    out === here('plan', '--bench', join(ROOT, 'fixtures/bench-example.json'), '--json'),
    'another plan',
  );
  return undefined;
});

await part('the demo to a result', async () => {
  const { code, out, err } = await tenwire('demo', '--once', '--speed', '400', ...AT_HOME);
  expectThat(code === 0, `${out} ${err}`);
  return /E1\/E2 = \S+ ± \S+/.exec(out)?.[0];
});

await atComPort(wine);
await inConsole(wine);
wine.close();
rmSync(work, { recursive: true, force: true });
console.log(failures.length === 0 ? 'all of it held' : `${failures.length} failed`);
process.exit(failures.length === 0 ? 0 : 1);

/** A run at COM5 with the emulated board, its cable pulled once, a second writer refused, the page in Chromium. */
async function atComPort({ mapPort, start }: Wine): Promise<void> {
  const scene = sceneWith({
    seed: 11,
    hand: { carrySpeedCmPerS: 90 },
    task: { ...COMPARISON, passes: 2, writeDownS: 0.5 },
  });
  const bench = sceneAtBoard(scene);
  const held = heldBench(bench.bench);
  const port = join(work, 'com5');
  const opening = await openBoardAtPort({ ...bench, bench: held.bench, path: port, speed: 6 });
  if (!opening.ok) throw new Error(opening.text);
  const { at } = opening;
  await mapPort('COM5', port);
  const benchFile = join(place, 'Bank 5.json');
  writeFileSync(benchFile, JSON.stringify(bench.scene.bench));
  const recording = join(place, 'Lauf 1.rec');
  const runAt = (...more: string[]) =>
    start([
      ...program,
      'run',
      '--port',
      'COM5',
      '--bench',
      windowsPath(benchFile),
      '--out',
      windowsPath(recording),
      '--http-port',
      '0',
      ...more,
    ]);
  let run: WineProcess | null = null;
  try {
    await part('a run at a COM port, its page in a browser', async () => {
      const begun = runAt('--by', 'J. Müller (invented)', '--temperature', '21.5');
      run = begun;
      await until(() => /page: \S+/.test(begun.out()) || begun.child.exitCode !== null, 'the page', 60_000);
      const url = /page: (\S+)/.exec(begun.out())?.[1];
      expectThat(url !== undefined, begun.err());
      const browser = await launchChromium();
      try {
        const { page, troubles } = await openPage(browser, url);
        await page.getByTestId('link').filter({ hasText: 'unnamed' }).waitFor({ timeout: 60_000 });
        held.begin();
        await page.waitForSelector('[data-null=n2]', { timeout: PATIENCE_MS });
        await part('the cable pulled and plugged in again', async () => {
          await at.unplug();
          await page
            .getByTestId('link')
            .filter({ hasText: 'silent' })
            .or(page.getByText('waiting'))
            .first()
            .waitFor({ timeout: 60_000 });
          expectThat((await at.plug()) === null, 'the port did not come back');
          await page.waitForSelector('[data-null=n4]', { timeout: PATIENCE_MS });
          return undefined;
        });
        await part('a second writer of the same recording is refused', async () => {
          const second = runAt('--resume');
          const code = await Promise.race([second.ended, sleep(30_000, 'still running')]);
          second.child.kill('SIGKILL');
          expectThat(code === 1 && second.err().includes('is being written'), `${code}: ${second.err()}`);
          return undefined;
        });
        await until(() => bench.last().finished, 'the end of the work at the bench', PATIENCE_MS);
        await page.getByTestId('result').waitFor();
        expectThat(troubles.length === 0, troubles.join('; '));
        return (await page.getByTestId('result').textContent()) ?? '';
      } finally {
        await browser.close();
      }
    });
    await part('the recording gives a result within its U of the truth, here and there alike', async () => {
      expectThat(existsSync(recording), 'no recording');
      at.board.setPower(false);
      const own = here('report', '--json', recording);
      const { out, err } = await tenwire('report', '--json', windowsPath(recording));
      expectThat(out === own, `another report there: ${err}`);
      const { result, stream } = JSON.parse(own);
      const { ratio } = truthOf(bench.scene);
      expectThat(
        result !== null && Math.abs(result.value - ratio) < result.U,
        `${result?.value} is not ${ratio}`,
      );
      return `${result.value.toFixed(5)} ± ${result.U.toFixed(5)}, truth ${ratio.toFixed(5)}, ${stream.lostSamples} samples lost`;
    });
  } finally {
    (run as WineProcess | null)?.child.kill('SIGKILL');
    await at.close();
  }
}

/** Ctrl-C, colours and widths at a console. */
async function inConsole({ inConsole: open }: Wine): Promise<void> {
  await part('Ctrl-C at the console ends a run of the page', async () => {
    const shown = open([...program, 'serve', ...AT_HOME]);
    await until(() => shown.out().includes('Ctrl-C') || shown.child.exitCode !== null, 'the page', 60_000);
    shown.type('\x03');
    const ended = await Promise.race([shown.ended, sleep(20_000, 'still running')]);
    shown.child.kill('SIGKILL');
    expectThat(ended === 0, `${ended}: ${shown.out()}`);
    return undefined;
  });
  await part('the demo at a console shows its progress within the width', async () => {
    const shown = open([...program, 'demo', '--once', '--speed', '20', ...AT_HOME]);
    const ended = await shown.ended;
    expectThat(ended === 0, shown.out());
    // Progress is written over: each line of it by itself.
    const longest = Math.max(
      ...shown
        .out()
        .split(/[\r\n]/)
        .map((line) => line.replace(ESCAPES, '').length),
    );
    expectThat(longest <= CONSOLE_COLUMNS, `a line of ${longest} characters`);
    return `longest line ${longest} of ${CONSOLE_COLUMNS} columns`;
  });
}
