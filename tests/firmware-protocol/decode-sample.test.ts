import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodePayload } from '../../firmware-protocol/decode.ts';
import { decodePlainSample } from '../../firmware-protocol/decode-sample.ts';

/** The quick way must say what the careful one says, or nothing. */
function agrees(payload: string): boolean {
  const quick = decodePlainSample(payload);
  if (quick !== null) expect(quick).toEqual(decodePayload(payload));
  return quick !== null;
}

const field = fc.oneof(
  fc.integer({ min: -3, max: 5_000_000_000 }).map(String),
  fc.constantFrom('', '-', '+1', '007', '1e3', ' 4', '4294967295', '4294967296', '2147483648', '99999999999'),
);
const payload = fc
  .tuple(field, field, field, field, field, field, fc.constantFrom('00', '1F', '1f', 'G0', '0', '', '000'))
  .map((fields) => `S,${fields.join(',')}`);

describe('the quick reading of samples', () => {
  it.each(['S,1,10000,2048,77,3000,8,1F', 'S,0,0,0,,,0,00', 'S,65535,4294967295,2147483647,4095,0,20,0B'])(
    'takes %s',
    (line) => {
      expect(agrees(line)).toBe(true);
    },
  );

  it.each([
    '',
    'S',
    'S,',
    'H,1,b,f,100,1F',
    'S,1,2,3,4,5,6',
    'S,1,2,3,4,5,6,',
    'S,65536,2,3,4,5,6,00',
    'S,1,2,3,4,5,21,00',
    'S,,2,3,4,5,6,00',
    'S,1,2,-3,4,5,6,00',
    'S,1,2,3,4,5,6,00,later',
  ])('leaves %j to the careful one', (line) => {
    expect(agrees(line)).toBe(false);
  });

  it('never says anything else', () => {
    fc.assert(
      fc.property(payload, (line) => void agrees(line)),
      { numRuns: 3000 },
    );
    fc.assert(
      fc.property(fc.string({ maxLength: 60 }), (line) => void agrees(`S,${line}`)),
      { numRuns: 3000 },
    );
  });
});
