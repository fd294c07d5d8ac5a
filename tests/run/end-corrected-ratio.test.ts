import { expect, it } from 'vitest';
import { endCorrectedRatio } from '../../bridge/run/set-rows.ts';
import { fixtureRun } from '../report/runs.ts';
import { comparisonOf } from './work-of.ts';

it('is the ratio of both lengths with the end correction added', () => {
  // by hand: (600 + 4)/(500 + 4) = 1.1984127
  expect(endCorrectedRatio({ l1Cm: 600, l2Cm: 500 }, 4)).toBeCloseTo(1.1984127, 7);
  expect(endCorrectedRatio({ l1Cm: 600, l2Cm: null }, 4)).toBeNull();
});

it('brings the sets of a recording to the adopted result, within what their readings leave', async () => {
  const { sets, outcome } = comparisonOf((await fixtureRun('comparison-four-sets.rec')).view);
  const alphaCm = outcome?.endCorrectionCm?.value ?? Number.NaN;
  for (const set of sets) {
    const corrected = endCorrectedRatio(set, alphaCm) ?? Number.NaN;
    expect(Math.abs(corrected - (outcome?.result?.value ?? 0))).toBeLessThan(2 * (set.uRatio ?? 0));
  }
});
