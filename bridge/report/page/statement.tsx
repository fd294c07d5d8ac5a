import type { Outcome } from '../../calc-core/outcome.ts';
import { fixed, resultText, uncertaintyText, unitSymbol } from '../../calc-core/rounding.ts';
import { Quantity } from './figures.tsx';

/** A result in one line, and what its uncertainty means. */

export const Statement = ({ result }: { result: Outcome }) => (
  <p class="statement">
    <Quantity name={result.quantity} /> = <span class="keep">{resultText(result)}</span>{' '}
    <small>({coverageText(result)})</small>
  </p>
);

export const NoResult = () => <p class="statement">No result: the findings say why.</p>;

const percentOf = (result: Outcome): string => `${Math.round(100 * result.coverage)} %`;

const coverageText = (result: Outcome): string => `k = ${fixed(result.k, 2)}, ${percentOf(result)}`;

/** In the words that GUM 7.2.4 recommends. */
export const Meaning = ({ result }: { result: Outcome }) => (
  <p>
    The number after ± is the expanded uncertainty <i>U</i> = <i>k</i>
    <i>u</i>, with the combined standard uncertainty <i>u</i> = {uncertaintyText(result.u)}{' '}
    {unitSymbol(result.unit)} and <i>k</i> = {fixed(result.k, 2)}: the smallest for which value ± <i>U</i>{' '}
    holds {percentOf(result)} of the average over the models that can explain the sets. It defines an interval
    estimated to have a level of confidence of {Math.round(100 * result.coverage)} percent.
  </p>
);
