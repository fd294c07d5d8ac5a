import type { BudgetRow, Outcome } from '../../calc-core/outcome.ts';
import { fixed, uncertaintyText } from '../../calc-core/rounding.ts';
import { Section, Table } from './figures.tsx';
import { useTexts } from './language.tsx';
import type { RecordTexts } from './texts/en.ts';

/** Sources of error, the largest first, by this run's own budget. */

type ErrorSource = keyof RecordTexts['sources']['names'];

/** Symbols of the budget that belong to each; whatever is left is other. */
const SYMBOLS: readonly (readonly [RegExp, ErrorSource])[] = [
  [/^l0?_/, 'reading'],
  [/^d_lag/, 'lag'],
  [/^d_zero/, 'zero'],
  [/^d_drift/, 'drift'],
  [/^d_position/, 'position'],
  [/^d_(walk|rows|taper)/, 'uneven'],
  [/^d_cells/, 'cells'],
  [/^d_turns/, 'turns'],
  [/^d_thermal/, 'thermal'],
  [/^alpha/, 'end'],
  [/^d_slips/, 'slips'],
  [/^d_models/, 'models'],
  [/^E_ref/, 'reference'],
  [/^R_/, 'load'],
];

/** Of a short record: the rest is next to nothing. */
const MOST_IN_SHORT = 5;

export function SourcesOfError({ result, isShort = false }: { result: Outcome | null; isShort?: boolean }) {
  const { sources } = useTexts();
  return (
    <Section title={sources.heading}>
      {result === null ? (
        <p>{sources.noBudget}</p>
      ) : (
        <Ranked result={result} most={isShort ? MOST_IN_SHORT : Number.POSITIVE_INFINITY} />
      )}
      <p class="small">{sources.notInBudget}</p>
    </Section>
  );
}

function Ranked({ result, most }: { result: Outcome; most: number }) {
  const { budget, sources } = useTexts();
  const ranked = rankedSources(result.budget).slice(0, most);
  return (
    <Table
      caption={sources.caption}
      columns={[
        { head: sources.source, words: true },
        { head: budget.share },
        { head: sources.without },
        { head: sources.remedy, words: true },
      ]}
      rows={ranked.map(({ source, variance }) => [
        sources.names[source],
        fixed(100 * (variance / result.u ** 2), 1),
        uncertaintyText(result.k * Math.sqrt(Math.max(0, result.u ** 2 - variance))),
        sources.remedies[source],
      ])}
    />
  );
}

const sourceOf = (symbol: string): ErrorSource =>
  SYMBOLS.find(([pattern]) => pattern.test(symbol))?.[1] ?? 'other';

export function rankedSources(budget: readonly BudgetRow[]): { source: ErrorSource; variance: number }[] {
  const variances = new Map<ErrorSource, number>();
  for (const { symbol, contribution } of budget) {
    const source = sourceOf(symbol);
    variances.set(source, (variances.get(source) ?? 0) + contribution ** 2);
  }
  return [...variances]
    .map(([source, variance]) => ({ source, variance }))
    .sort((a, b) => b.variance - a.variance);
}
