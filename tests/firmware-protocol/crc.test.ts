import fc from 'fast-check';
import { expect, test } from 'vitest';
import { crc16 } from '../../firmware-protocol/crc16.ts';

interface Algorithm {
  name: string;
  width: 8 | 16 | 32;
  polynomial: number;
  initial: number;
  reflected: boolean;
  finalXor: number;
  check: number;
}

/**
 * Check values of `123456789`: G. Cook, Catalogue of parametrised CRC algorithms. The first is ours; the
 * others show that this test's own calculation, bit by bit, is right and can tell them apart.
 */
const CATALOGUE: Algorithm[] = [
  ['CRC-16/IBM-3740 (CCITT-FALSE)', 16, 0x1021, 0xffff, false, 0, 0x29b1] as const,
  ['CRC-16/XMODEM', 16, 0x1021, 0, false, 0, 0x31c3] as const,
  ['CRC-16/MODBUS', 16, 0x8005, 0xffff, true, 0, 0x4b37] as const,
  ['CRC-8/SMBUS', 8, 0x07, 0, false, 0, 0xf4] as const,
  ['CRC-8/MAXIM-DOW', 8, 0x31, 0, true, 0, 0xa1] as const,
  ['CRC-32/ISO-HDLC', 32, 0x04c11db7, 0xffffffff, true, 0xffffffff, 0xcbf43926] as const,
].map(([name, width, polynomial, initial, reflected, finalXor, check]) => ({
  name,
  width,
  polynomial,
  initial,
  reflected,
  finalXor,
  check,
}));

const [OURS, ...SIBLINGS] = CATALOGUE;

const reverse = (value: bigint, width: number): bigint =>
  BigInt(`0b${[...value.toString(2).padStart(width, '0')].reverse().join('')}`);

/** The catalogue's parametrised model, one bit at a time, in integers without a width. */
function bitwise(text: string, algorithm: Algorithm): number {
  const width = BigInt(algorithm.width);
  const mask = (1n << width) - 1n;
  let crc = BigInt(algorithm.initial);
  for (const character of text) {
    const byte = BigInt(character.charCodeAt(0));
    crc ^= (algorithm.reflected ? reverse(byte, 8) : byte) << (width - 8n);
    for (let bit = 0; bit < 8; bit += 1) {
      const carry = crc >> (width - 1n);
      crc = ((crc << 1n) & mask) ^ (carry ? BigInt(algorithm.polynomial) : 0n);
    }
  }
  return Number((algorithm.reflected ? reverse(crc, algorithm.width) : crc) ^ BigInt(algorithm.finalXor));
}

test.each(CATALOGUE)('the catalogue: $name gives its check value', (algorithm) => {
  expect(bitwise('123456789', algorithm)).toBe(algorithm.check);
});

test('crc16 gives the published check value, and no sibling does', () => {
  expect(crc16('123456789')).toBe(0x29b1);
  for (const sibling of SIBLINGS) expect(crc16('123456789')).not.toBe(sibling.check);
});

const bytes = fc.uint8Array({ maxLength: 130 }).map((array) => String.fromCharCode(...array));

test('crc16 agrees with the bit by bit calculation on any bytes', () => {
  fc.assert(fc.property(bytes, (text) => crc16(text) === bitwise(text, OURS)));
});

test('any one, two or three wrong bits within a payload change the CRC', () => {
  const flips = fc.uniqueArray(fc.nat(60 * 8 - 1), { minLength: 1, maxLength: 3 });
  const payload = fc
    .uint8Array({ minLength: 60, maxLength: 60 })
    .map((array) => String.fromCharCode(...array));
  fc.assert(
    fc.property(payload, flips, (text, wrong) => {
      const codes = [...text].map((character) => character.charCodeAt(0));
      for (const bit of wrong) codes[bit >> 3] ^= 1 << (bit & 7);
      return crc16(String.fromCharCode(...codes)) !== crc16(text);
    }),
  );
});
