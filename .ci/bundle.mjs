// One folder for a computer without Node: Node, the program and a start script, packed for Linux and Windows (x64).
// `npm run bundle [-- FOLDER [PLATFORM]]`. Everything comes from the npm registry; nothing is signed.
import { createHash } from 'node:crypto';
import {
  chmodSync,
  cpSync,
  createWriteStream,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join, relative, resolve } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { ZipFile } from 'yazl';
import { install, pack, root, run } from './npm.mjs';

/** Maintained, and the newest that Wine runs, so that the Windows folder is tried as it is given away. */
const NODE = '22.23.3';

const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
const CLI = 'program/node_modules/tenwire/dist/bridge/cli.js';

const PLATFORMS = [
  {
    name: 'linux-x64',
    node: 'bin/node',
    bindings: 'linux-x64',
    script: 'tenwire',
    start: `#!/bin/sh
# Without a word: the page. With words: a command, such as "./tenwire report lab/recordings/NAME.rec".
here=$(dirname "$(readlink -f "$0")")
[ -n "$TENWIRE_HOME" ] || export TENWIRE_HOME="$here/lab"
[ $# -eq 0 ] && set -- serve --open
exec "$here/node" "$here/${CLI}" "$@"
`,
  },
  {
    name: 'win-x64',
    node: 'bin/node.exe',
    bindings: 'win32-x64',
    script: 'tenwire.cmd',
    start: `@echo off
setlocal
if not defined TENWIRE_HOME set "TENWIRE_HOME=%~dp0lab"
rem Without a word: the page. With words: a command, such as "tenwire report lab\\recordings\\NAME.rec".
if "%~1"=="" (
  "%~dp0node.exe" "%~dp0${CLI.replaceAll('/', '\\')}" serve --open
) else (
  "%~dp0node.exe" "%~dp0${CLI.replaceAll('/', '\\')}" %*
)
`.replaceAll('\n', '\r\n'),
  },
];

const readMe = ({ script }) =>
  `tenwire ${version}, with Node ${NODE}

Start "${script}": the page opens in the browser of this computer. Recordings and bench files are kept in the folder "lab" here.
"${script} doctor" says what this computer lacks, if anything; "${script} --help" has the other commands.

Nothing in this folder is signed: the system may warn before the first start. Compare the SHA-256 of the archive with the one
that whoever made it gave you. Node's licence is in LICENSE-NODE.txt, tenwire's in ${CLI.replace('dist/bridge/cli.js', 'LICENSE')}.

Acids, hot wire, shorted cells and mains nearby can hurt: docs/safety.md beside the program comes first, your laboratory's rules before it.
`;

async function zip(folder, name, archive) {
  const file = new ZipFile();
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath ?? entry.path, entry.name);
    file.addFile(path, `${name}/${relative(folder, path)}`, { mode: statSync(path).mode });
  }
  file.end();
  await pipeline(file.outputStream, createWriteStream(archive));
}

const hashOf = (path) => createHash('sha256').update(readFileSync(path)).digest('hex');

const [, , folderTold, platformTold] = process.argv;
const out = resolve(folderTold ?? join(root, 'bundle'));
const wanted = PLATFORMS.filter(({ name }) => platformTold === undefined || name === platformTold);
const work = mkdtempSync(join(tmpdir(), 'tenwire-bundle-'));

async function make(platform, tarball, licence) {
  const name = `tenwire-${version}-${platform.name}`;
  const folder = join(out, name);
  mkdirSync(folder, { recursive: true });
  install(tarball, join(folder, 'program'), { flags: ['--ignore-scripts', '--omit=dev'] });
  const bindings = join(folder, 'program/node_modules/@serialport/bindings-cpp/prebuilds');
  for (const other of readdirSync(bindings))
    if (other !== platform.bindings) rmSync(join(bindings, other), { recursive: true });
  const node = join(folder, basename(platform.node));
  cpSync(join(nodePackage(platform.name), platform.node), node);
  cpSync(licence, join(folder, 'LICENSE-NODE.txt'));
  writeFileSync(join(folder, 'READ-ME.txt'), readMe(platform));
  writeFileSync(join(folder, platform.script), platform.start);
  chmodSync(join(folder, platform.script), 0o755);
  chmodSync(node, 0o755);
  const archive = `${name}.${platform.name.startsWith('win') ? 'zip' : 'tar.gz'}`;
  if (archive.endsWith('.zip')) await zip(folder, name, join(out, archive));
  else run('tar', ['-czf', archive, name], { cwd: out });
  return archive;
}

/** Where a platform's Node lies once it is fetched; `--force`, because npm keeps other systems' packages out. */
const nodePackage = (name) => join(work, `node_modules/node-${name}`);

try {
  rmSync(out, { recursive: true, force: true });
  const tarball = pack(join(work, 'packed'));
  for (const name of new Set(['linux-x64', ...wanted.map((one) => one.name)]))
    install(`node-${name}@${NODE}`, work, { flags: ['--force', '--ignore-scripts'] });
  const licence = join(nodePackage('linux-x64'), 'LICENSE');
  const sums = [];
  for (const platform of wanted) {
    const archive = await make(platform, tarball, licence);
    sums.push(`${hashOf(join(out, archive))}  ${archive}`);
    console.log(`${join(out, archive)}, ${Math.round(statSync(join(out, archive)).size / 1e6)} MB`);
  }
  writeFileSync(join(out, 'SHA256SUMS'), `${sums.join('\n')}\n`);
} finally {
  rmSync(work, { recursive: true, force: true });
}
