import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeCommand } from '../../firmware-protocol/commands.ts';
import { decodeLine, decodePayload } from '../../firmware-protocol/decode.ts';
import { encodeFrame, encodeRate, sealPayload } from '../../firmware-protocol/encode.ts';
import type { Frame, OtherFrame } from '../../firmware-protocol/frames.ts';
import { MAX_LINE_BYTES } from '../../firmware-protocol/frames.ts';

const characters = (pattern: RegExp) =>
  fc.constantFrom(
    ...Array.from({ length: 95 }, (_, i) => String.fromCharCode(32 + i)).filter((c) => pattern.test(c)),
  );
const words = (pattern: RegExp, maxLength: number) =>
  fc.string({ unit: characters(pattern), minLength: 1, maxLength });
const word = words(/[^,*]/, 20);
const text = words(/[^*]/, 60);
const int32 = fc.integer();
const uint32 = fc.nat(0xffffffff);
const count = fc.option(int32);

const frame: fc.Arbitrary<Exclude<Frame, OtherFrame>> = fc
  .oneof(
    fc.record({
      type: fc.constant('H' as const),
      board: words(/[A-Za-z0-9-]/, 16),
      firmware: word,
      rateHz: fc.integer({ min: 1, max: 999_999 }).map((milli) => milli / 1000),
      senses: fc.nat(255),
    }),
    fc
      .record({
        type: fc.constant('C' as const),
        index: fc.nat(255),
        channel: word,
        ends: fc.tuple(int32, int32),
      })
      .filter(({ ends: [a, b] }) => a !== b)
      .map(({ ends: [a, b], ...rest }) => ({ ...rest, minCount: Math.min(a, b), maxCount: Math.max(a, b) })),
    fc.record({
      type: fc.constant('S' as const),
      seq: fc.nat(65535),
      tUs: uint32,
      gal: count,
      pos: count,
      drv: count,
      row: fc.nat(20),
      flags: fc.nat(255),
    }),
    fc.record({ type: fc.constant('E' as const), tUs: uint32, name: word, argument: fc.option(word) }),
    fc.record({ type: fc.constant('A' as const), command: text }),
    fc.record({ type: fc.constant('X' as const), command: word, reason: text }),
  )
  // records of fast-check may come without a prototype
  .map((sent) => ({ ...sent }));

const anyBytes = fc.uint8Array({ maxLength: 200 }).map((array) => String.fromCharCode(...array));

test('what is encoded decodes to itself, with or without a carriage return', () => {
  fc.assert(
    fc.property(frame, (sent) => {
      const line = encodeFrame(sent);
      expect(line.length + 2).toBeLessThanOrEqual(MAX_LINE_BYTES);
      expect(decodeLine(line)).toStrictEqual(sent);
      expect(decodeLine(`${line}\r`)).toStrictEqual(sent);
    }),
  );
});

test('any bytes, and any payload under a right CRC, yield a value and never throw', () => {
  fc.assert(
    fc.property(anyBytes, (line) => {
      expect(decodeLine(line)).toHaveProperty('type');
      expect(decodePayload(line)).toHaveProperty('type');
      expect(decodeCommand(line)).toHaveProperty('type');
    }),
  );
  const almost = fc
    .array(fc.oneof(word, int32.map(String), fc.constantFrom('S', 'H', 'C', 'E', 'A', 'X', '', '1')), {
      maxLength: 9,
    })
    .map((fields) => fields.join(',').slice(0, 100));
  fc.assert(fc.property(almost, (payload) => 'type' in decodeLine(sealPayload(payload))));
});

test('a line with one damaged byte is never taken for a sound one', () => {
  fc.assert(
    fc.property(frame, fc.nat(), fc.integer({ min: 1, max: 255 }), (sent, at, change) => {
      const line = encodeFrame(sent);
      const index = at % line.length;
      const damaged = `${line.slice(0, index)}${String.fromCharCode(line.charCodeAt(index) ^ change)}${line.slice(index + 1)}`;
      // A last byte turned into a carriage return is taken off, and three digits of CRC remain.
      expect(decodeLine(damaged).type).toBe('bad');
    }),
  );
});

test('a good line decodes after any garbage, and after the garbage its line feed ends', () => {
  fc.assert(
    fc.property(anyBytes, frame, (garbage, sent) => {
      const lines = `${garbage}\n${encodeFrame(sent)}\n`.split('\n');
      expect(lines.map(decodeLine).at(-2)).toStrictEqual(sent);
    }),
  );
});

test('rates go to the board and are read there, with and without their CRC', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 65535 }), (rateHz) => {
      expect(decodeCommand(encodeRate(rateHz))).toStrictEqual({ type: 'R', rateHz });
      expect(decodeCommand(`R,${rateHz}`)).toStrictEqual({ type: 'R', rateHz });
    }),
  );
});

test('a payload that the format forbids is refused on writing', () => {
  expect(() => sealPayload('T,1*2')).toThrow(RangeError);
  expect(() => sealPayload('T,\n')).toThrow(RangeError);
  expect(() => sealPayload(`T,${'x'.repeat(112)}`)).toThrow(RangeError);
});
