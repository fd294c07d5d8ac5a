import type { Outcome, RunView } from '../../bridge/serve/page-protocol.ts';
import { useView } from '../app/app-context.ts';
import { fixed, rounded } from '../app/format.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';

/** Degrees of freedom beyond which Student's t is the normal distribution to every digit shown. */
const MANY = 1e5;

export const outcomeOf = ({ work }: Pick<RunView, 'work'>): Outcome | null => work.outcome?.result ?? null;

const SYMBOLS: Readonly<Record<string, string>> = { ohm: 'Ω', uV: 'µV' };

/** A unit as it stands behind a number; nothing for the unit one. */
export const unitText = (unit: string): string => (unit === '1' ? '' : ` ${SYMBOLS[unit] ?? unit}`);

export const unitOf = (outcome: Outcome): string => unitText(outcome.unit);

export function expandedText(texts: Texts, outcome: Outcome): string {
  const { u } = rounded(outcome.value, outcome.U);
  const dof = outcome.dof === null || outcome.dof > MANY ? texts.result.infinite : fixed(outcome.dof, 1);
  return texts.result.expanded(
    `${u}${unitOf(outcome)}`,
    fixed(outcome.k, 2),
    `${fixed(outcome.coverage * 100, 0)} %`,
    dof,
  );
}

export function ResultLine() {
  const view = useView();
  const texts = useTexts();
  const outcome = view === null ? null : outcomeOf(view);
  return (
    <section class="panel result-line">
      <h2>{texts.result.heading}</h2>
      {outcome === null ? (
        <p class="quiet">{texts.result.none}</p>
      ) : (
        <>
          <p class="result-value" data-testid="result">
            <span class="result-quantity">
              <Quantity outcome={outcome} />
            </span>{' '}
            = {rounded(outcome.value, outcome.U).value} ± {rounded(outcome.value, outcome.U).u}
            {unitOf(outcome)}
          </p>
          <p class="quiet">{expandedText(texts, outcome)}</p>
        </>
      )}
    </section>
  );
}

/** The symbol of what was measured. */
export function Quantity({ outcome }: { outcome: Outcome }) {
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
