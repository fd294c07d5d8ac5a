import { crc16 } from './crc16.ts';
import { decodePlainSample } from './decode-sample.ts';
import type { BadLine, BadLineReason, Frame, SampleFrame } from './frames.ts';
import { MAX_LINE_BYTES } from './frames.ts';

const bad = (reason: BadLineReason, field: string | null = null): BadLine => ({ type: 'bad', reason, field });

/** Thrown inside this file only: carries what was wrong with a field out of nested readers. */
class FieldFault {
  readonly reason: BadLineReason;
  readonly field: string;

  constructor(reason: BadLineReason, field: string) {
    this.reason = reason;
    this.field = field;
  }
}

/**
 * Decodes one line from the board, its terminator removed, one character a byte (latin1).
 * Never throws: a line that breaks the format yields a `BadLine` with its reason. Fields after the last
 * known one are skipped, so that a later version can add some.
 */
export function decodeLine(line: string): Frame | BadLine {
  const payload = unsealLine(line, 'required');
  return typeof payload === 'string' ? (decodePlainSample(payload) ?? decodePayload(payload)) : payload;
}

/**
 * The payload of a line whose length, CRC and bytes are in order, else what is wrong with it.
 * With `optional` a line that holds no `*` is taken as it stands: commands may come without a CRC.
 */
export function unsealLine(line: string, crc: 'required' | 'optional'): string | BadLine {
  let end = line.length;
  if (end > 0 && line.charCodeAt(end - 1) === 0x0d) end -= 1;
  if (line.length + 1 > MAX_LINE_BYTES) return bad('too-long');
  const bare = crc === 'optional' && !line.includes('*');
  const star = bare ? end : end - 5;
  if (!bare) {
    const fault = crcFault(line, star);
    if (fault !== null) return bad(fault);
  }
  for (let index = 0; index < star; index += 1) {
    const code = line.charCodeAt(index);
    if (code < 0x20 || code > 0x7e || code === 0x2a) return bad('byte-out-of-range');
  }
  return line.slice(0, star);
}

/** What is wrong with the CRC that stands behind the star at `star`; null where it is right. */
function crcFault(line: string, star: number): 'no-crc' | 'crc-mismatch' | null {
  if (star < 0 || line.charCodeAt(star) !== 0x2a) return 'no-crc';
  const stated = upperHex4(line, star + 1);
  if (stated < 0) return 'no-crc';
  return crc16(line, star) === stated ? null : 'crc-mismatch';
}

/** Decodes a payload whose CRC has been dealt with (or was left out, as a person at a terminal may). */
export function decodePayload(payload: string): Frame | BadLine {
  const fields = payload.split(',');
  try {
    switch (fields[0]) {
      case 'S':
        return sample(fields);
      case 'H':
        return hello(fields);
      case 'C':
        return {
          type: 'C',
          index: integer(fields, 1, 'index', 0, 255),
          channel: text(fields, 2, 'channel'),
          minCount: integer(fields, 3, 'minCount'),
          maxCount: span(integer(fields, 3, 'minCount'), integer(fields, 4, 'maxCount')),
        };
      case 'E':
        return {
          type: 'E',
          tUs: integer(fields, 1, 'tUs', 0, 0xffffffff),
          name: text(fields, 2, 'name'),
          argument: fields.length > 3 ? fields[3] : null,
        };
      case 'A':
        return { type: 'A', command: rest(fields, 1, 'command') };
      case 'X':
        return { type: 'X', command: text(fields, 1, 'command'), reason: rest(fields, 2, 'reason') };
      default:
        return { type: 'other', name: text(fields, 0, 'type') };
    }
  } catch (fault) {
    if (fault instanceof FieldFault) return bad(fault.reason, fault.field);
    throw fault;
  }
}

function sample(fields: string[]): SampleFrame {
  return {
    type: 'S',
    seq: integer(fields, 1, 'seq', 0, 65535),
    tUs: integer(fields, 2, 'tUs', 0, 0xffffffff),
    gal: count(fields, 3, 'gal'),
    pos: count(fields, 4, 'pos'),
    drv: count(fields, 5, 'drv'),
    row: integer(fields, 6, 'row', 0, 20),
    flags: hexByte(fields, 7, 'flags'),
  };
}

function hello(fields: string[]): Frame {
  if (integer(fields, 1, 'version', 0, 65535) !== 1) throw new FieldFault('version-unknown', 'version');
  const board = text(fields, 2, 'board');
  if (!/^[A-Za-z0-9-]{1,16}$/.test(board)) throw new FieldFault('field-value', 'board');
  return {
    type: 'H',
    board,
    firmware: text(fields, 3, 'firmware'),
    rateHz: positive(fields, 4, 'rateHz'),
    senses: hexByte(fields, 5, 'senses'),
  };
}

const present = (fields: string[], index: number, name: string): string => {
  if (index >= fields.length) throw new FieldFault('field-missing', name);
  return fields[index];
};

function text(fields: string[], index: number, name: string): string {
  const field = present(fields, index, name);
  if (field === '') throw new FieldFault('field-value', name);
  return field;
}

/** What stands from a field to the end of the line: commands and reasons may hold commas. */
function rest(fields: string[], index: number, name: string): string {
  present(fields, index, name);
  return fields.slice(index).join(',');
}

/** Decimal digits with an optional minus; nothing else (no blanks, plus signs or exponents). */
function integer(
  fields: string[],
  index: number,
  name: string,
  least = -0x80000000,
  most = 0x7fffffff,
): number {
  const field = present(fields, index, name);
  const negative = field.charCodeAt(0) === 0x2d;
  const first = negative ? 1 : 0;
  if (field.length === first) throw new FieldFault('field-value', name);
  let value = 0;
  for (let at = first; at < field.length; at += 1) {
    const digit = field.charCodeAt(at) - 0x30;
    if (digit < 0 || digit > 9) throw new FieldFault('field-value', name);
    value = value * 10 + digit;
  }
  if (negative && value !== 0) value = -value;
  if (value < least || value > most) throw new FieldFault('field-value', name);
  return value;
}

const count = (fields: string[], index: number, name: string): number | null =>
  present(fields, index, name) === '' ? null : integer(fields, index, name);

function positive(fields: string[], index: number, name: string): number {
  const field = present(fields, index, name);
  const value = /^\d{1,9}(\.\d{1,6})?$/.test(field) ? Number(field) : 0;
  if (value <= 0) throw new FieldFault('field-value', name);
  return value;
}

function span(minCount: number, maxCount: number): number {
  if (maxCount <= minCount) throw new FieldFault('field-value', 'maxCount');
  return maxCount;
}

function hexByte(fields: string[], index: number, name: string): number {
  const field = present(fields, index, name);
  const value = field.length === 2 ? hexDigit(field, 0, true) * 16 + hexDigit(field, 1, true) : -1;
  if (value < 0) throw new FieldFault('field-value', name);
  return value;
}

function upperHex4(line: string, at: number): number {
  let value = 0;
  for (let index = at; index < at + 4; index += 1) {
    const digit = hexDigit(line, index, false);
    if (digit < 0) return -1;
    value = value * 16 + digit;
  }
  return value;
}

/** Value of a hex digit; a large negative number where it is none, so that sums of digits stay negative. */
function hexDigit(line: string, at: number, lowerToo: boolean): number {
  const code = line.charCodeAt(at);
  if (code >= 0x30 && code <= 0x39) return code - 0x30;
  if (code >= 0x41 && code <= 0x46) return code - 0x37;
  if (lowerToo && code >= 0x61 && code <= 0x66) return code - 0x57;
  return -1000;
}
