// Sets up what is missing, with Node's built-ins only: npm packages when the lock file has changed,
// a build when a source has changed, and the Debian packages that tests need (--test), the page's bench (--chromium) or the
// Windows lane (--windows).
import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  accessSync,
  constants,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, delimiter, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');

const say = (text) => console.error(`set-up: ${text}`);

function fail(text) {
  say(text);
  process.exit(1);
}

const hashOf = (parts) => {
  const hash = createHash('sha256');
  for (const part of parts) hash.update(part);
  return hash.digest('hex');
};

const readOr = (path, fallback) => (existsSync(path) ? readFileSync(path, 'utf8') : fallback);

function checkNode() {
  const wanted = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')).engines.node.match(/\d+/g);
  const found = process.versions.node.split('.');
  const older = wanted.findIndex((part, index) => Number(part) !== Number(found[index]));
  if (older >= 0 && Number(found[older]) < Number(wanted[older]))
    fail(`Node ${wanted.join('.')} or later is needed; this is ${process.versions.node}`);
}

const isRunning = (pid) => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === 'EPERM';
  }
};

const wait = (ms) => Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);

/** Holds off a second start while one sets up: npm ci empties the folder that the other one may be reading. */
function holdLock() {
  const lock = join(root, '.cache', 'set-up.lock');
  mkdirSync(dirname(lock), { recursive: true });
  for (let told = false; ; wait(100)) {
    try {
      writeFileSync(lock, String(process.pid), { flag: 'wx' });
      process.on('exit', () => rmSync(lock, { force: true }));
      return;
    } catch (error) {
      if (error.code !== 'EEXIST') throw error;
    }
    const holder = Number(readOr(lock, '0'));
    // A start that was killed leaves its lock behind.
    if (holder > 0 && !isRunning(holder)) rmSync(lock, { force: true });
    else if (!told) {
      say('another start is setting up; waiting for it');
      told = true;
    }
  }
}

const stampOfPackages = join(root, 'node_modules', '.tenwire-lock');
// Packages bring binaries for one platform.
const platform = `${process.platform}-${process.arch}`;
const hashOfPackages = () => `${platform} ${hashOf([readFileSync(join(root, 'package-lock.json'))])}`;
const packagesReady = () => readOr(stampOfPackages, '') === hashOfPackages();

/** After an `npm install` by hand there may be nothing left to do. What npm itself notes down can't be relied on. */
function installedAsLocked() {
  const { packages } = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8'));
  return Object.entries(packages ?? {}).every(([path, { version, optional }]) => {
    if (!path.startsWith('node_modules/')) return true;
    const manifest = readOr(join(root, path, 'package.json'), null);
    if (manifest === null) return optional === true;
    return version === undefined || JSON.parse(manifest).version === version;
  });
}

function ensurePackages() {
  if (packagesReady()) return;
  if (readOr(stampOfPackages, '').startsWith(`${platform} `) && installedAsLocked()) {
    writeFileSync(stampOfPackages, hashOfPackages());
    return;
  }
  say('installing npm packages (npm ci)');
  // npm tells its own path to the scripts it runs; a shell is needed for npm.cmd on Windows otherwise.
  // Other package managers set the same variable.
  const told = process.env.npm_execpath ?? '';
  const npmCli = basename(told).startsWith('npm') && told.endsWith('.js') ? told : null;
  // No package here needs its install script, so whether scripts are allowed makes no difference.
  const args = ['ci', '--include=dev', '--ignore-scripts', '--no-audit', '--no-fund', '--loglevel=error'];
  const run = npmCli
    ? spawnSync(process.execPath, [npmCli, ...args], { cwd: root, stdio: ['ignore', 2, 2] })
    : spawnSync('npm', args, { cwd: root, stdio: ['ignore', 2, 2], shell: process.platform === 'win32' });
  if (run.error) fail(`npm could not be started: ${run.error.message}`);
  if (run.status !== 0) fail('npm ci failed; its message stands above');
  writeFileSync(stampOfPackages, hashOfPackages());
}

function* filesBelow(folder) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) yield* filesBelow(path);
    else yield path;
  }
}

const stampOfBuild = join(root, 'dist', '.built-from');

function hashOfSources() {
  const folders = ['bridge', 'firmware-protocol', 'web'].map((name) => join(root, name));
  const loose = [
    'package-lock.json',
    'package.json',
    'rolldown.config.mjs',
    'vite.config.mjs',
    'tsconfig.json',
  ];
  const sources = [
    ...folders.filter(existsSync).flatMap((folder) => [...filesBelow(folder)]),
    ...loose.map((name) => join(root, name)),
  ];
  return hashOf(
    sources
      .filter(existsSync)
      .sort()
      .flatMap((path) => [path.slice(root.length), readFileSync(path)]),
  );
}

const buildReady = () => readOr(stampOfBuild, '') === hashOfSources();

function ensureBuild() {
  if (buildReady()) return;
  const wanted = hashOfSources();
  say('building');
  for (const script of ['build:bridge', 'build:web']) {
    const [tool, ...args] = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')).scripts[
      script
    ].split(' ');
    const run = spawnSync(process.execPath, [binaryOf(tool), ...args], {
      cwd: root,
      // Whoever starts us may have another: a test runner's would leave code in the page that nobody is served.
      env: { ...process.env, NODE_ENV: 'production' },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    if (run.status !== 0) fail(`the build failed:\n${run.stdout}${run.stderr}`);
  }
  mkdirSync(dirname(stampOfBuild), { recursive: true });
  writeFileSync(stampOfBuild, wanted);
}

function binaryOf(tool) {
  const manifest = JSON.parse(readFileSync(join(root, 'node_modules', tool, 'package.json'), 'utf8'));
  return join(root, 'node_modules', tool, manifest.bin[tool] ?? manifest.bin);
}

function onPath(command) {
  const folders = (process.env.PATH ?? '').split(delimiter).concat('/usr/bin', '/usr/sbin');
  return folders.some((folder) => {
    try {
      const path = join(folder, command);
      accessSync(path, constants.X_OK);
      return statSync(path).isFile();
    } catch {
      return false;
    }
  });
}

// what is started or read -> the Debian package that brings it
const debian = {
  chromium: 'chromium',
  ngspice: 'ngspice',
  socat: 'socat',
  'avr-gcc': 'gcc-avr',
  make: 'make',
  '/usr/lib/avr/include/avr/io.h': 'avr-libc',
  '/usr/lib/wine/wine64': 'wine64',
  python3: 'python3',
  '/usr/lib/python3/dist-packages/pandas': 'python3-pandas',
  script: 'bsdutils',
  '/usr/sbin/mosquitto': 'mosquitto',
  openssl: 'openssl',
  pdftoppm: 'poppler-utils',
  cc: 'gcc',
  '/usr/include/stdio.h': 'libc6-dev',
  '/usr/include/simavr/sim_avr.h': 'libsimavr-dev',
  '/usr/share/arduino/hardware/arduino/avr/bootloaders/optiboot': 'arduino-core-avr',
};
const NEEDED = {
  '--test': [
    'chromium',
    'ngspice',
    'socat',
    'avr-gcc',
    'make',
    '/usr/lib/avr/include/avr/io.h',
    '/usr/lib/python3/dist-packages/pandas',
    '/usr/sbin/mosquitto',
    'openssl',
    'pdftoppm',
    'cc',
    '/usr/include/stdio.h',
    '/usr/include/simavr/sim_avr.h',
    '/usr/share/arduino/hardware/arduino/avr/bootloaders/optiboot',
  ],
  '--chromium': ['chromium'],
  '--windows': ['/usr/lib/wine/wine64', 'chromium', 'socat', 'python3', 'script'],
};

const isThere = (what) => (what.startsWith('/') ? existsSync(what) : onPath(what));

function ensureDebian(needed) {
  const names = needed.filter((what) => !isThere(what)).map((what) => debian[what]);
  if (names.length === 0) return;
  const mayInstall = onPath('apt-get') && process.getuid?.() === 0;
  if (!mayInstall) {
    fail(
      `the tests need ${names.join(', ')}; install them (on Debian as root: apt-get install ${names.join(' ')})`,
    );
  }
  say(`installing Debian packages: ${names.join(' ')}`);
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  try {
    execFileSync('apt-get', ['update', '-qq'], { stdio: ['ignore', 2, 2], env });
    execFileSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', ...names], {
      stdio: ['ignore', 'ignore', 2],
      env,
    });
  } catch {
    fail(`could not install ${names.join(', ')}: the tests that need them can't run`);
  }
}

checkNode();
// Tests build only: installing would take the packages away from under them.
const buildsOnly = process.argv.includes('--build');
if ((!buildsOnly && !packagesReady()) || !buildReady()) {
  holdLock();
  if (!buildsOnly) ensurePackages();
  ensureBuild();
}
ensureDebian(process.argv.slice(2).flatMap((option) => NEEDED[option] ?? []));
