import type { Said } from '../calc-core/saying.ts';
import type { SourceFault } from '../session/line-source.ts';
import { say } from '../words/words.ts';

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
  return { code, ...saidOf(code, path, message, platform) };
}

function saidOf(code: SourceFault['code'], path: string, message: string, platform: string): Said {
  if (code === 'source-failed') return say('as-it-came', { words: message });
  if (code === 'port-failed') return say(code, { path, message });
  return code === 'port-forbidden'
    ? say(code, { path, remedy: remedy(path, platform) })
    : say(code, { path });
}

const remedy = (path: string, platform: string): Said =>
  platform === 'linux' ? say('join-the-group', { path }) : say('ask-who-looks-after-it');
