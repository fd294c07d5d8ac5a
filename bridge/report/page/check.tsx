import type { IntervalCheck, Outcome } from '../../calc-core/outcome.ts';
import { roundTogether } from '../../calc-core/rounding.ts';

/** The Monte Carlo run's verdict on an interval (JCGM 101, clause 8). */
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
      <b>A Monte Carlo run gives another interval</b> (JCGM 101:2008, {check.trials} trials): {interval} (
      {percent} %). The average over the models is skew, or a length so uncertain that the result is no longer
      straight in it.
    </p>
  );
}
