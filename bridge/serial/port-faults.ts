import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { SourceFault } from './line-source.ts';

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
export function portFault(path: string, words: string, platform: string = process.platform): SourceFault {
  const code = MEANINGS.find(([pattern]) => pattern.test(words))?.[1] ?? 'port-failed';
  return { code, ...faultMessage(code, path, words, platform) };
}

function faultMessage(code: SourceFault['code'], path: string, words: string, platform: string): Message {
  if (code === 'source-failed') return message('as-it-came', { words });
  if (code === 'port-failed') return message(code, { path, message: words });
  return code === 'port-forbidden'
    ? message(code, { path, remedy: remedy(path, platform) })
    : message(code, { path });
}

const remedy = (path: string, platform: string): Message =>
  platform === 'linux' ? message('join-the-group', { path }) : message('ask-who-looks-after-it');
