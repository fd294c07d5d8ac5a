import { describe, expect, test } from 'vitest';
import { halfWidth, moments, type NormalPart } from '../../bridge/calc-core/mixture.ts';
import { heldBetween } from './numbers.ts';

describe('moments of a mixture', () => {
  test('variance within the parts and between them, worked by hand', () => {
    const parts = [
      { weight: 3, mean: 1, variance: 4 },
      { weight: 1, mean: 5, variance: 8 },
    ];
    expect(moments(parts)).toEqual({ mean: 2, within: 5, between: 3 });
  });

  test('a common offset of 1e9 costs no digits', () => {
    const parts = [
      { weight: 0.5, mean: 1e9 + 1, variance: 0 },
      { weight: 0.5, mean: 1e9 + 3, variance: 0 },
    ];
    expect(moments(parts)).toEqual({ mean: 1e9 + 2, within: 0, between: 1 });
  });
});

const MIXTURES: [string, NormalPart[]][] = [
  ['one part', [{ weight: 1, mean: 1.2, variance: 1e-8 }]],
  [
    'a narrow part and a wide one',
    [
      { weight: 0.9, mean: 1.2, variance: 1e-8 },
      { weight: 0.1, mean: 1.2, variance: 1e-4 },
    ],
  ],
  [
    'parts side by side, of other weights',
    [
      { weight: 5, mean: 1.19, variance: 1e-6 },
      { weight: 2, mean: 1.2, variance: 4e-6 },
      { weight: 1, mean: 1.24, variance: 1e-5 },
    ],
  ],
  [
    'two hundred parts in a row',
    Array.from({ length: 200 }, (_, index) => ({
      weight: 1 + Math.sin(index) ** 2,
      mean: 1 + index * 1e-5,
      variance: 1e-8 * (1 + (index % 7)),
    })),
  ],
];

describe.each(MIXTURES)('half-width that holds a share of %s', (_, parts) => {
  test.each([0.5, 0.95, 0.99])('%d, by numerical integration of the density', (coverage) => {
    const { mean } = moments(parts);
    const half = halfWidth(parts, mean, coverage);
    expect(heldBetween(parts, mean - half, mean + half)).toBeCloseTo(coverage, 3);
  });
});

test('a normal distribution: 1.959964 standard deviations for 95 %', () => {
  expect(halfWidth([{ weight: 2, mean: 7, variance: 9 }], 7, 0.95) / 3).toBeCloseTo(1.959964, 5);
});
