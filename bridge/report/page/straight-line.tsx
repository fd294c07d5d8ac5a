import { ordinaryLine } from '../../calc-core/line-fit.ts';
import { fixed, plusMinus } from '../../calc-core/rounding.ts';
import type { ComparisonWork } from '../../run/view.ts';
import { Sym } from './figures.tsx';

/** So many standard uncertainties must the slope lie off 1 before the intercept tells anything of the end correction. */
const CLEAR = 5;

/**
 * The comparison as a straight line through the points (l2, l1) of the sets: what can be followed with paper and a ruler, before the
 * weights of the adopted result. Ordinary least squares (GUM H.3).
 */
export function StraightLine({ work }: { work: ComparisonWork }) {
  const whole = work.sets.flatMap(({ l1Cm, l2Cm }) => (l1Cm === null || l2Cm === null ? [] : [[l2Cm, l1Cm]]));
  const line = ordinaryLine(
    whole.map(([l2]) => l2),
    whole.map(([, l1]) => l1),
  );
  if (line === null) return null;
  const { slope, uSlope, intercept, uIntercept } = line;
  const offOne = slope - 1;
  return (
    <>
      <h3>By a straight line</h3>
      <p>
        An end correction α makes both lengths too short by the same: <Sym name="l_1" /> + α = (
        <Sym name="E_1" />/<Sym name="E_2" />) (<Sym name="l_2" /> + α). So the points (<Sym name="l_2" />,{' '}
        <Sym name="l_1" />) of the sets lie on a line whose slope is <Sym name="E_1" />/<Sym name="E_2" />{' '}
        whatever α may be, and whose intercept is α (<Sym name="E_1" />/<Sym name="E_2" /> − 1). Least squares
        through the {whole.length} points give the slope <b>{plusMinus(slope, uSlope)}</b> and the intercept{' '}
        {plusMinus(intercept, uIntercept, 'cm')} (standard uncertainties from the scatter about the line)
        {Math.abs(offOne) > CLEAR * uSlope ? (
          <>
            , so that α = {plusMinus(intercept, uIntercept)} cm / {fixed(offOne, 4)} ={' '}
            {plusMinus(intercept / offOne, uIntercept / Math.abs(offOne), 'cm')}
          </>
        ) : null}
        .
      </p>
      <p>
        The slope needs nothing known of the end, but a wire that is uneven or a cell that changes tilts the
        line as well. The adopted result reckons with these, too, and with how large each mostly is.
      </p>
    </>
  );
}
