import { ordinaryLine } from '../../calc-core/line-fit.ts';
import { fixed, plusMinus } from '../../calc-core/rounding.ts';
import type { ComparisonWork } from '../../run/view.ts';
import { useTexts } from './language.tsx';
import { fill, Say } from './say.tsx';

/** So many standard uncertainties must the slope lie off 1 before the intercept tells anything of the end correction. */
const CLEAR = 5;

/**
 * The comparison as a straight line through the points (l2, l1) of the sets: what can be followed with paper and a ruler, before the
 * weights of the adopted result. Ordinary least squares (GUM H.3).
 */
export function StraightLine({ work }: { work: ComparisonWork }) {
  const { calculation } = useTexts();
  const whole = work.sets.flatMap(({ l1Cm, l2Cm }) => (l1Cm === null || l2Cm === null ? [] : [[l2Cm, l1Cm]]));
  const line = ordinaryLine(
    whole.map(([l2]) => l2),
    whole.map(([, l1]) => l1),
  );
  if (line === null) return null;
  const { slope, uSlope, intercept, uIntercept } = line;
  const offOne = slope - 1;
  const soThat = fill(calculation.soThat, {
    intercept: plusMinus(intercept, uIntercept),
    offOne: fixed(offOne, 4),
    correction: plusMinus(intercept / offOne, uIntercept / Math.abs(offOne), 'cm'),
  });
  return (
    <>
      <h3>{calculation.byLine}</h3>
      <p>
        <Say
          text={calculation.line}
          given={{
            points: whole.length,
            slope: <b>{plusMinus(slope, uSlope)}</b>,
            intercept: plusMinus(intercept, uIntercept, 'cm'),
            soThat: Math.abs(offOne) > CLEAR * uSlope ? <Say text={soThat} /> : '',
          }}
        />
      </p>
      <p>{calculation.lineNeeds}</p>
    </>
  );
}
