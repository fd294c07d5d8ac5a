// npm and other programs, run to their end; what fails is thrown with all that it wrote.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('..', import.meta.url));

export function run(command, args, options = {}) {
  const ran = spawnSync(command, args, { encoding: 'utf8', maxBuffer: 2 ** 26, ...options });
  if (ran.status !== 0)
    throw new Error(
      `${command} ${args.join(' ')} ended with ${ran.status}:\n${ran.stdout}${ran.stderr}${ran.error ?? ''}`,
    );
  return ran.stdout;
}

/** npm's own program, so that it runs under the Node that is tried. */
function npmCli() {
  const told = process.env.npm_execpath ?? '';
  if (told.endsWith('npm-cli.js')) return told;
  const beside = join(dirname(process.execPath), '../lib/node_modules/npm/bin/npm-cli.js');
  if (existsSync(beside)) return beside;
  return join(run('npm', ['root', '-g']).trim(), 'npm/bin/npm-cli.js');
}

const cli = npmCli();
const registry = run(process.execPath, [cli, 'config', 'get', 'registry'], { cwd: root }).trim();

/** Installs a package into a folder; `node` is the one that runs npm. */
export function install(what, folder, { node = process.execPath, flags = [], env = process.env } = {}) {
  mkdirSync(folder, { recursive: true });
  const manifest = join(folder, 'package.json');
  if (!existsSync(manifest)) writeFileSync(manifest, '{"private":true}');
  const quiet = ['--no-audit', '--no-fund', '--loglevel=error', `--registry=${registry}`];
  run(node, [cli, 'install', ...quiet, ...flags, what], { cwd: folder, env });
}

/** Packs this checkout; answers the tarball's path. */
export function pack(folder) {
  mkdirSync(folder, { recursive: true });
  run(process.execPath, [cli, 'pack', '--pack-destination', folder, '--loglevel=error'], { cwd: root });
  return join(
    folder,
    readdirSync(folder).find((name) => name.endsWith('.tgz')),
  );
}
