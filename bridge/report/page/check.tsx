import type { IntervalCheck, Outcome } from '../../calc-core/outcome.ts';
import { roundTogether } from '../../calc-core/rounding.ts';
import { useTexts } from './language.tsx';
import { fill } from './say.tsx';

/** The Monte Carlo run's verdict on an interval (JCGM 101, clause 8). */
export function Check({ result, check }: { result: Outcome; check: IntervalCheck }) {
  const texts = useTexts();
  const [from, to] = [check.low, check.high].map((end) => roundTogether(end, result.U).value);
  const figures = {
    trials: check.trials,
    interval: fill(texts.to, { from, to }),
    percent: Math.round(100 * result.coverage),
  };
  if (check.agrees) return <p>{fill(texts.result.checkAgrees, figures)}</p>;
  return (
    <p class="caveat">
      <b>{texts.result.checkDiffers}</b> {fill(texts.result.checkDiffersHow, figures)}
    </p>
  );
}
