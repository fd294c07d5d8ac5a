import type { SourceFault } from '../session/line-source.ts';

/** The words that serialport's bindings use on Linux, macOS and Windows, and what they mean. */
const MEANINGS: [RegExp, SourceFault['code']][] = [
  [/cannot lock port|resource busy|EBUSY/i, 'port-busy'],
  [/no such file|file not found|ENOENT|no such device/i, 'port-not-found'],
  // Windows says so of a port that another program has open; its ports know no permissions.
  [/access denied/i, 'port-busy'],
  [/permission denied|EACCES|operation not permitted/i, 'port-forbidden'],
  [/inappropriate ioctl|not a tty|is a directory|ENOTTY|cannot get/i, 'not-a-port'],
];

/** What stood in the way of opening a port, with the usual remedy. */
export function portFault(path: string, message: string, platform: string = process.platform): SourceFault {
  const code = MEANINGS.find(([words]) => words.test(message))?.[1] ?? 'port-failed';
  return { code, text: WORDS[code](path, message, platform) };
}

const WORDS: Record<SourceFault['code'], (path: string, message: string, platform: string) => string> = {
  'port-busy': (path) =>
    `${path} is in use by another program (a serial monitor, or a second tenwire): close that first`,
  'port-not-found': (path) => `there is no port ${path}: is the board plugged in?`,
  'port-forbidden': (path, _message, platform) => `you may not open ${path}: ${remedy(path, platform)}`,
  'not-a-port': (path) => `${path} is not a serial port`,
  'port-failed': (path, message) => `${path} could not be opened: ${message}`,
  'source-failed': (_path, message) => message,
};

function remedy(path: string, platform: string): string {
  if (platform !== 'linux') return 'ask whoever looks after this computer';
  return `on Linux the ports belong to a group, mostly dialout (ls -l ${path} tells); join it with "sudo usermod -aG dialout $USER", then log out and in again`;
}
