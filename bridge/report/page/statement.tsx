import type { Outcome } from '../../calc-core/outcome.ts';
import { fixed, resultText, uncertaintyText, unitSymbol } from '../../calc-core/rounding.ts';
import { Quantity } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill, Say } from './say.tsx';

/** A result in one line, and what its uncertainty means. */

export function Statement({ result }: { result: Outcome }) {
  const texts = useTexts();
  const coverage = { k: fixed(result.k, 2), percent: percentOf(result) };
  return (
    <p class="statement">
      <Quantity name={result.quantity} /> = <span class="keep">{resultText(result)}</span>{' '}
      <small>({fill(texts.result.coverage, coverage)})</small>
    </p>
  );
}

export const NoResult = () => <p class="statement">{useTexts().result.none}</p>;

const percentOf = (result: Outcome): number => Math.round(100 * result.coverage);

/** In the words that GUM 7.2.4 recommends. */
export function Meaning({ result }: { result: Outcome }) {
  const texts = useTexts();
  return (
    <p>
      <Say
        text={texts.result.meaning}
        given={{
          size: `${uncertaintyText(result.u)} ${unitSymbol(result.unit)}`.trim(),
          factor: fixed(result.k, 2),
          value: texts.value,
          percent: percentOf(result),
          level: percentOf(result),
        }}
      />
    </p>
  );
}
