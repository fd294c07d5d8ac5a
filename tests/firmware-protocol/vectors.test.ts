import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { decodeCommand } from '../../firmware-protocol/commands.ts';
import { crc16 } from '../../firmware-protocol/crc16.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { encodeFrame } from '../../firmware-protocol/encode.ts';
import { MAX_LINE_BYTES } from '../../firmware-protocol/frames.ts';
import { vectors } from './vectors.ts';

// The CRCs in vectors.json come from Python's binascii.crc_hqx, not from this project.
const WRITER = fileURLToPath(new URL('../../firmware-protocol/write_vectors.py', import.meta.url));
const hasPython = spawnSync('python3', ['--version']).status === 0;

test.runIf(hasPython)('vectors.json is what its writer in Python writes', () => {
  const { stdout, stderr } = spawnSync('python3', [WRITER], { encoding: 'utf8' });
  expect(stderr).toBe('');
  expect(JSON.parse(stdout)).toEqual(vectors);
});

test.each(vectors.crc)('CRC of "$text" is $crc', ({ text, crc }) => {
  expect(crc16(text).toString(16).toUpperCase().padStart(4, '0')).toBe(crc);
});

test.each(vectors.lines)('line: $note', ({ line, expect: wanted }) => {
  expect(decodeLine(line)).toStrictEqual(wanted);
});

test.each(vectors.commands)('command: $note', ({ line, expect: wanted }) => {
  expect(decodeCommand(line)).toStrictEqual(wanted);
});

test.each(vectors.encode)('encode: $line', ({ frame, line }) => {
  expect(encodeFrame(frame)).toBe(line);
  expect(decodeLine(line)).toStrictEqual(frame);
});

describe('the vectors reach every kind of answer', () => {
  const kinds = new Set(
    vectors.lines.map(({ expect: frame }) => (frame.type === 'bad' ? frame.reason : frame.type)),
  );
  test.each([
    ...['S', 'H', 'C', 'E', 'A', 'X', 'other', 'too-long', 'no-crc', 'crc-mismatch', 'byte-out-of-range'],
    ...['version-unknown', 'field-missing', 'field-value'],
  ])('%s', (kind) => {
    expect(kinds).toContain(kind);
  });

  test('both sides of the longest line', () => {
    const lengths = vectors.lines.map(({ line }) => line.length + 1);
    expect(lengths).toContain(MAX_LINE_BYTES);
    expect(lengths).toContain(MAX_LINE_BYTES + 1);
  });
});
