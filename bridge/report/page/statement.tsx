import type { Outcome } from '../../calc-core/outcome.ts';
import { dofText, fixed, resultText, uncertaintyText, unitSymbol } from '../../calc-core/rounding.ts';
import { Quantity } from './figures.tsx';

/** A result in one line, and what its uncertainty means. */

export const Statement = ({ result }: { result: Outcome }) => (
  <p class="statement">
    <Quantity name={result.quantity} /> = <span class="keep">{resultText(result)}</span>{' '}
    <small>({coverageText(result)})</small>
  </p>
);

const percentOf = (result: Outcome): string => `${Math.round(100 * result.coverage)} %`;

const coverageText = (result: Outcome): string =>
  result.intervalBy === 'student'
    ? `k = ${fixed(result.k, 2)}, ${percentOf(result)}`
    : `${percentOf(result)}, by a Monte Carlo run`;

/** In the words that GUM 7.2.4 recommends. */
export function Meaning({ result }: { result: Outcome }) {
  if (result.intervalBy === 'monte-carlo')
    return (
      <p>
        The combined standard uncertainty is <i>u</i> = {uncertaintyText(result.u)} {unitSymbol(result.unit)}.
        The number after ± is the larger distance to the ends of the interval that a Monte Carlo run gave for
        a level of confidence of {Math.round(100 * result.coverage)} percent.
      </p>
    );
  return (
    <p>
      The number after ± is the expanded uncertainty <i>U</i> = <i>k</i>
      <i>u</i>, with the combined standard uncertainty <i>u</i> = {uncertaintyText(result.u)}{' '}
      {unitSymbol(result.unit)} and <i>k</i> = {fixed(result.k, 2)} from the <i>t</i>-distribution for{' '}
      {dofText(result.dof)} degrees of freedom. It defines an interval estimated to have a level of confidence
      of {Math.round(100 * result.coverage)} percent.
    </p>
  );
}
