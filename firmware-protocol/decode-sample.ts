import type { SampleFrame } from './frames.ts';

const COMMA = 0x2c;
const ZERO = 0x30;
/** seq, tUs, gal, pos, drv, row. */
const NUMBERS = 6;
const MOST_DIGITS = 10;

/**
 * Reads the payload of a sample in one pass over its characters: nearly every line is one. Null for every payload
 * that is not a sample, or not an ordinary one: the careful decoder then reads it, or names what is wrong with it.
 */
export function decodePlainSample(payload: string): SampleFrame | null {
  if (payload.charCodeAt(0) !== 0x53 || payload.charCodeAt(1) !== COMMA) return null;
  const numbers: (number | null)[] = [];
  let value = 0;
  let digits = 0;
  let at = 2;
  for (; numbers.length < NUMBERS; at += 1) {
    const code = payload.charCodeAt(at);
    if (code === COMMA) {
      numbers.push(digits === 0 ? null : value);
      value = 0;
      digits = 0;
    } else {
      const digit = code - ZERO;
      digits += 1;
      if (!(digit >= 0 && digit <= 9) || digits > MOST_DIGITS) return null;
      value = value * 10 + digit;
    }
  }
  const flags = hexByteAtEnd(payload, at);
  const [seq, tUs, gal, pos, drv, row] = numbers;
  if (flags < 0 || !within(seq, 65535) || !within(tUs, 0xffffffff) || !within(row, 20)) return null;
  if (!isCount(gal) || !isCount(pos) || !isCount(drv)) return null;
  return { type: 'S', seq, tUs, gal, pos, drv, row, flags };
}

const within = (value: number | null, most: number): value is number => value !== null && value <= most;

const isCount = (value: number | null): boolean => value === null || value <= 0x7fffffff;

/** Two hex digits that end the text; negative where anything else stands there. */
const hexByteAtEnd = (text: string, at: number): number =>
  text.length === at + 2 ? 16 * hexDigit(text.charCodeAt(at)) + hexDigit(text.charCodeAt(at + 1)) : -1;

function hexDigit(code: number): number {
  if (code >= 0x30 && code <= 0x39) return code - 0x30;
  if (code >= 0x41 && code <= 0x46) return code - 0x37;
  return -1000;
}
