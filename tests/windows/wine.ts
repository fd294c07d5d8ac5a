import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, mkdirSync, openSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** Windows programs under Wine (Debian: wine64), with a prefix of their own: nothing of the user's is touched. */
export interface Wine {
  /** Runs a program to its end. Its output goes to a file: to a pipe, Node for Windows fails under Wine with EBADF. */
  run(args: readonly string[]): Promise<{ code: number | null; out: string; err: string }>;
  start(args: readonly string[]): WineProcess;
  /** Runs a program in a console, a terminal of 100 columns: what it writes, and a way to type. */
  inConsole(args: readonly string[]): WineProcess & { type(text: string): void };
  /** Lets a COM port be what is at `path`. */
  mapPort(name: string, path: string): Promise<void>;
  close(): void;
}

export interface WineProcess {
  child: ChildProcess;
  out(): string;
  err(): string;
  ended: Promise<number | null>;
}

const WINE64 = '/usr/lib/wine/wine64';
export const CONSOLE_COLUMNS = 100;

/** A path of this computer as Windows programs name it. */
export const windowsPath = (path: string): string => `Z:${path.replaceAll('/', '\\')}`;

export async function setUpWine(folder: string): Promise<Wine> {
  mkdirSync(folder, { recursive: true });
  const env = {
    ...process.env,
    WINEPREFIX: join(folder, 'prefix'),
    WINEDEBUG: '-all',
    // Wine 8 calls itself a Windows that Node 22 does not know.
    NODE_SKIP_PLATFORM_CHECK: '1',
    WINEARCH: 'win64',
  };
  let files = 0;
  const start = (args: readonly string[]): WineProcess => {
    files += 1;
    const paths = ['out', 'err'].map((name) => join(folder, `${files}.${name}`));
    const [out, err] = paths.map((path) => openSync(path, 'w'));
    const child = spawn(WINE64, [...args], { env, cwd: folder, stdio: ['ignore', out, err] });
    const ended = once(child, 'exit').then(([code]) => code as number | null);
    for (const file of [out, err]) closeSync(file);
    return {
      child,
      out: () => readFileSync(paths[0], 'utf8'),
      err: () => readFileSync(paths[1], 'utf8'),
      ended,
    };
  };
  const run: Wine['run'] = async (args) => {
    const { ended, out, err } = start(args);
    return { code: await ended, out: out(), err: err() };
  };
  const inConsole: Wine['inConsole'] = (args) => {
    const words = [WINE64, ...args].map((word) => `'${word.replaceAll("'", "'\\''")}'`).join(' ');
    const child = spawn('script', ['-qefc', `stty cols ${CONSOLE_COLUMNS} rows 40; ${words}`, '/dev/null'], {
      env: { ...env, TERM: 'xterm' },
      cwd: folder,
      stdio: ['pipe', 'pipe', 'pipe'],
    });
    let text = '';
    child.stdout.on('data', (data) => {
      text += data;
    });
    const ended = once(child, 'exit').then(([code]) => code as number | null);
    return { child, out: () => text, err: () => '', ended, type: (typed) => child.stdin.write(typed) };
  };
  const close = () => void spawnSync('wineserver', ['-k', '-w'], { env, stdio: 'ignore' });
  await run(['wineboot', '-i']);
  return {
    run,
    start,
    inConsole,
    mapPort: async (name, path) => {
      const key = 'HKLM\\Software\\Wine\\Ports';
      await run(['reg', 'add', key, '/v', name, '/t', 'REG_SZ', '/d', path, '/f']);
      // Wine looks for its ports when it starts.
      close();
    },
    close,
  };
}
