import { unsealLine } from './decode.ts';
import type { BadLine } from './frames.ts';

/** What a bridge asks of a board. `other`: a command that this version does not know. */
export type Command = { type: '?' } | { type: 'R'; rateHz: number } | { type: 'other'; name: string };

const MAX_RATE_HZ = 65535;

/**
 * Reads one line to a board, terminator removed. The CRC may be left out, as a person at a terminal does;
 * where a `*` stands it must be right. Never throws.
 */
export function decodeCommand(line: string): Command | BadLine {
  const payload = unsealLine(line, 'optional');
  if (typeof payload !== 'string') return payload;
  const [name, argument] = payload.split(',');
  if (name === '?') return { type: '?' };
  if (name !== 'R') return name === '' ? bad('field-value', 'type') : { type: 'other', name };
  if (argument === undefined) return bad('field-missing', 'rateHz');
  const rateHz = /^\d{1,5}$/.test(argument) ? Number(argument) : 0;
  return rateHz < 1 || rateHz > MAX_RATE_HZ ? bad('field-value', 'rateHz') : { type: 'R', rateHz };
}

const bad = (reason: BadLine['reason'], field: string): BadLine => ({ type: 'bad', reason, field });
