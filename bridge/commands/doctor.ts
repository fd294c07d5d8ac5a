import { accessSync, constants, existsSync, statSync } from 'node:fs';
import { statfs } from 'node:fs/promises';
import { createServer } from 'node:net';
import { delimiter, dirname, join, resolve } from 'node:path';
import manifest from '../../package.json' with { type: 'json' };
import type { RoomUrl } from '../room/room-url.ts';
import { describePort, listPorts } from '../serial/list-ports.ts';
import type { RoomOptions } from './join-room.ts';
import type { ExitCode, Terminal } from './terminal.ts';

/** What a run needs of this computer, looked at one after the other. */

interface Finding {
  /** A run can't do without it. */
  needed: boolean;
  well: boolean;
  text: string;
}

const well = (text: string): Finding => ({ needed: true, well: true, text });
const lacking = (text: string): Finding => ({ needed: true, well: false, text });
const hint = (text: string): Finding => ({ needed: false, well: false, text });

export interface DoctorOptions extends RoomOptions {
  home: string;
}

export async function doctor({ home, room, station }: DoctorOptions, terminal: Terminal): Promise<ExitCode> {
  const folder = resolve(home);
  const findings = [
    nodeFinding(process.versions.node, manifest.engines.node),
    folderFinding(folder),
    await diskFinding(folder),
    ...(await portFindings()),
    await loopbackFinding(),
    browserFinding(),
    ...(room === null ? [] : [await roomFinding(room, station, folder)]),
  ];
  for (const { well: isWell, needed, text } of findings)
    terminal.out(`${isWell ? 'ok   ' : needed ? 'MEND ' : 'note '} ${text}`);
  return findings.some((one) => one.needed && !one.well) ? 1 : 0;
}

/** A run goes on without its room. */
async function roomFinding(room: RoomUrl, station: string | null, home: string): Promise<Finding> {
  const { lookAtRoom } = await import('./room-finding.ts');
  const { stationNameOf } = await import('./join-room.ts');
  const { roomLogin } = await import('../room/room-url.ts');
  try {
    const found = await lookAtRoom(room, stationNameOf(station, roomLogin(process.env)), home);
    return { needed: false, ...found };
  } catch (error) {
    return hint(`room: ${(error as Error).message}`);
  }
}

function nodeFinding(found: string, wanted: string): Finding {
  const least = wanted.match(/\d+/g)?.map(Number) ?? [];
  const parts = found.split('.').map(Number);
  const differs = least.findIndex((part, index) => part !== parts[index]);
  return differs < 0 || parts[differs] > least[differs]
    ? well(`Node ${found}`)
    : lacking(`Node ${found} is too old: install Node ${least.join('.')} or later`);
}

/** The nearest folder that is there already: the ones below it are made when they are needed. */
const existing = (folder: string): string => (existsSync(folder) ? folder : existing(dirname(folder)));

function folderFinding(folder: string): Finding {
  const there = existing(folder);
  if (statSync(there).isDirectory() && may(there, constants.W_OK))
    return well(`recordings go to ${join(folder, 'recordings')}, bench files to ${join(folder, 'benches')}`);
  return lacking(`nothing can be made in ${there}: start elsewhere, or name a folder with --home`);
}

function may(path: string, mode: number): boolean {
  try {
    accessSync(path, mode);
    return true;
  } catch {
    return false;
  }
}

const MB = 2 ** 20;
/** A board at 200 samples a second writes about 35 MB an hour. */
const LEAST_FREE_MB = 500;

async function diskFinding(folder: string): Promise<Finding> {
  const { bavail, bsize } = await statfs(existing(folder));
  const freeMb = Math.floor((bavail * bsize) / MB);
  return freeMb >= LEAST_FREE_MB
    ? well(`${freeMb} MB of disk free; an hour of recording takes about 35`)
    : lacking(`only ${freeMb} MB of disk free: an hour of recording takes about 35, make room first`);
}

async function portFindings(): Promise<Finding[]> {
  const ports = await listPorts();
  if (ports.length === 0)
    return [hint('no serial port is to be seen: plug the board in; a cable that only charges shows none')];
  const usable = ports.some(({ path }) => mayOpen(path));
  return ports.map((port) => {
    if (mayOpen(port.path)) return well(`serial port ${describePort(port)}`);
    const text = `serial port ${port.path} may not be opened: ${rightsFor(port.path)}`;
    return usable ? hint(text) : lacking(text);
  });
}

const mayOpen = (path: string): boolean =>
  process.platform === 'win32' || may(path, constants.R_OK | constants.W_OK);

const rightsFor = (path: string): string =>
  `put yourself into the group that it belongs to (number ${statSync(path).gid}; on most systems dialout: sudo usermod -aG dialout $USER), then log in anew`;

function loopbackFinding(): Promise<Finding> {
  return new Promise((done) => {
    const probe = createServer();
    probe.once('error', (error) =>
      done(lacking(`no page can be served on this computer (127.0.0.1): ${error.message}`)),
    );
    probe.listen(0, '127.0.0.1', () => probe.close(() => done(well('pages can be served on this computer'))));
  });
}

const BROWSERS = [
  'firefox',
  'chromium',
  'chromium-browser',
  'google-chrome',
  'microsoft-edge',
  'brave-browser',
];

function browserFinding(): Finding {
  // On these two systems a browser is always there.
  if (process.platform === 'win32' || process.platform === 'darwin') return well('a browser');
  const folders = (process.env.PATH ?? '').split(delimiter);
  const found = BROWSERS.find((name) => folders.some((folder) => existsSync(join(folder, name))));
  return found === undefined
    ? hint('no browser known to us on this computer: the page can be opened from another one, with --listen')
    : well(`browser: ${found}`);
}
