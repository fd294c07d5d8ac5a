import type { IntervalCheck, Outcome } from '../../calc-core/outcome.ts';
import { roundTogether } from '../../calc-core/rounding.ts';

/** What the Monte Carlo run said of an interval (JCGM 101, clause 8). */
export function Check({ result, check }: { result: Outcome; check: IntervalCheck }) {
  const [low, high] = [check.low, check.high].map((end) => roundTogether(end, result.U).value);
  const interval = `${low} to ${high}`;
  const percent = Math.round(100 * result.coverage);
  if (check.agrees)
    return (
      <p>
        Check of the interval by a Monte Carlo run (JCGM 101:2008, {check.trials} trials): {interval} (
        {percent} %). It agrees with the one stated to the digits that count.
      </p>
    );
  return (
    <p class="caveat">
      <b>The interval stated is that of a Monte Carlo run</b> (JCGM 101:2008, {check.trials} trials):{' '}
      {interval} ({percent} %). Student’s <i>t</i> would give one whose ends differ from it by more than the
      digits that count. The usual causes: an uncertainty known from two or three readings only (take more
      passes of each null), or sets that scatter beyond their uncertainties.
    </p>
  );
}
