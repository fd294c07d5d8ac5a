import { fixed, resultText, roundTogether, unitSymbol } from '../../bridge/calc-core/rounding.ts';
import type { Outcome, SessionView, WithoutCalculation } from '../../bridge/serve/page-protocol.ts';
import { useView } from '../app/app-context.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';

/** A result without its calculation. */
export type ShownOutcome = WithoutCalculation<Outcome>;

export const outcomeOf = ({ work }: Pick<SessionView, 'work'>): ShownOutcome | null =>
  work.outcome?.result ?? null;

export function expandedText(texts: Texts, outcome: ShownOutcome): string {
  const u = `${roundTogether(outcome.value, outcome.U).uncertainty} ${unitSymbol(outcome.unit)}`.trim();
  const coverage = `${fixed(outcome.coverage * 100, 0)} %`;
  return texts.result.expanded(u, fixed(outcome.k, 2), coverage);
}

export function ResultLine() {
  const view = useView();
  const texts = useTexts();
  const outcome = view === null ? null : outcomeOf(view);
  return (
    <section class="panel result-line">
      <h2>{texts.result.heading}</h2>
      {outcome === null ? (
        <p class="quiet">{view?.resultsHidden ? texts.hidden.line : texts.result.none}</p>
      ) : (
        <>
          <p class="result-value" data-testid="result">
            <span class="result-quantity">
              <Quantity outcome={outcome} />
            </span>{' '}
            = {resultText(outcome)}
          </p>
          <p class="quiet">{expandedText(texts, outcome)}</p>
        </>
      )}
    </section>
  );
}

/** The symbol of what was measured. */
export function Quantity({ outcome }: { outcome: ShownOutcome }) {
  if (outcome.quantity === 'r') return <i>r</i>;
  const symbols = outcome.quantity.split('/').map((name) => (
    <>
      <i>{name[0]}</i>
      <sub>{name.slice(1)}</sub>
    </>
  ));
  return symbols.length === 1 ? (
    symbols[0]
  ) : (
    <>
      {symbols[0]}/{symbols[1]}
    </>
  );
}
