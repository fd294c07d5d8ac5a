import { describe, expect, it } from 'vitest';
import { withUncertainty } from '../../bridge/calc-core/rounding.ts';
import { reportJson } from '../../bridge/report/report-json.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import { simulatedRun } from './runs.ts';
import { workedExample } from './worked-example/text.ts';

/** The demo's run, by hand and by the program. */

const report = reportJson(simulatedRun(DEFAULT_SCENE).view);
const hand = workedExample(report, `tenwire demo --seed ${DEFAULT_SCENE.seed}`);
const { result, byTheBook, budget } = report;
const millionths = (symbol: string): number =>
  1e6 * (budget.find((row) => row.symbol === symbol)?.contribution ?? Number.NaN);

describe('the worked example', () => {
  it('comes to the result that the program prints, to the last digit', () => {
    expect(hand.result).toBe(withUncertainty(result?.value ?? Number.NaN, result?.U ?? Number.NaN));
    expect(hand.fit.ratio.toFixed(5)).toBe(result?.value.toFixed(5));
  });

  it('comes to the mean and the standard deviation by the book', () => {
    expect(hand.book.mean.toFixed(5)).toBe(byTheBook?.mean.toFixed(5));
    expect((hand.book.s / 1e6).toFixed(6)).toBe(byTheBook?.standardDeviation?.toFixed(6));
  });

  it('comes to every contribution of the budget', () => {
    const { parts } = hand;
    for (const { name, contribution } of parts.readings)
      expect(Math.abs(contribution - millionths(name.replace(/l(\d),(\d+)/, 'l_$1_$2'))), name).toBeLessThan(
        0.02,
      );
    const shared = [
      ['d_position', parts.position.contribution],
      ['d_wire', parts.wire.contribution],
      ['d_turns', parts.turns.contribution],
      ['d_thermal', parts.thermal.contribution],
      ['alpha', parts.alpha],
    ] as const;
    // the last printed digit, and half a thousandth: the nulls of a length lie hundredths of a millimetre apart
    for (const [symbol, contribution] of shared)
      expect(Math.abs(contribution - millionths(symbol)), symbol).toBeLessThan(0.01 + 5e-4 * contribution);
  });

  it('leaves out no row of the budget, and knows that the degrees of freedom are many', () => {
    const byHand = /^(l_\d_\d+|alpha|d_(position|wire|turns|thermal|lag|zero|drift_\d+))$/;
    for (const { symbol } of budget) expect(symbol).toMatch(byHand);
    expect(result?.dof ?? Number.POSITIVE_INFINITY).toBeGreaterThan(1000);
  });

  it('stands in docs/ as it is worked out here', async () => {
    await expect(hand.markdown).toMatchFileSnapshot('../../docs/worked-example.md');
  });
});
