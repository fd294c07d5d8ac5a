import type { BudgetRow, Outcome } from '../../calc-core/outcome.ts';
import { fixed, uncertaintyText } from '../../calc-core/rounding.ts';
import { Section, Table } from './figures.tsx';

/** Sources of error, the largest first, by this run's own budget. */

interface ErrorSource {
  /** Symbols of the budget that belong to it. */
  symbols: RegExp;
  name: string;
  /** What a person at the bench can do about it (common practice, no source). */
  remedy: string;
}

const ERROR_SOURCES: readonly ErrorSource[] = [
  {
    symbols: /^l0?_/,
    name: 'reading of the nulls',
    remedy: 'more passes, the protective resistance out, a slower sweep, a cleaner contact of the jockey',
  },
  {
    symbols: /^d_lag/,
    name: 'lag of the galvanometer while the jockey moves',
    remedy: 'sweep both ways, and more slowly',
  },
  {
    symbols: /^d_zero/,
    name: 'zero of the galvanometer',
    remedy: 'lift the jockey for some seconds now and then, so that the zero is seen',
  },
  {
    symbols: /^d_drift/,
    name: 'drift of the driver current within a set',
    remedy:
      'let the driver settle with the key closed, take the cells in the order 1-2-2-1, use a fresh driver cell',
  },
  {
    symbols: /^d_position/,
    name: 'calibration of the position sensor (the scale)',
    remedy:
      'calibrate at more points of the metre scale; choose driver currents whose nulls lie at different scale readings',
  },
  {
    symbols: /^d_(walk|rows|taper)/,
    name: 'uneven wire',
    remedy:
      'more sets whose nulls lie elsewhere; measure how even the wire is and state it; exchange it where it is worn or kinked',
  },
  {
    symbols: /^d_cells/,
    name: 'change of the EMFs during the run',
    remedy: 'let the cells rest, take them in the order 1-2-2-1, and work quickly',
  },
  {
    symbols: /^d_turns/,
    name: 'strips that join the rows',
    remedy: 'tighten and clean the joints; measure the strips',
  },
  {
    symbols: /^d_thermal/,
    name: 'thermal EMFs at the junctions',
    remedy:
      'keep hands and lamps away from the junctions and wait; repeat with all cells and the driver reversed',
  },
  {
    symbols: /^alpha/,
    name: 'end correction (resistance between the terminal and the zero of the scale at A)',
    remedy:
      'sets at more widely different driver currents; clean and tighten the terminal at A; state in the bench file what is known of it',
  },
  {
    symbols: /^d_slips/,
    name: 'a length misread, or a cell that jumps',
    remedy: 'more sets, so that one that is off stands out',
  },
  {
    symbols: /^d_models/,
    name: 'what the sets cannot tell apart',
    remedy:
      'measure the end correction and state it; sets at more widely different driver currents; the order 1-2-2-1',
  },
  {
    symbols: /^E_ref/,
    name: 'EMF of the reference cell',
    remedy: 'use a cell of smaller stated uncertainty',
  },
  { symbols: /^R_/, name: 'load resistance', remedy: 'use a resistor of smaller stated uncertainty' },
];

const OTHER: ErrorSource = { symbols: /./, name: 'other', remedy: '' };

/** Of a short record: the rest is next to nothing. */
const MOST_IN_SHORT = 5;

export function SourcesOfError({ result, isShort = false }: { result: Outcome | null; isShort?: boolean }) {
  return (
    <Section title="Sources of error">
      {result === null ? (
        <p>Without a result there is no budget to rank them by.</p>
      ) : (
        <Ranked result={result} most={isShort ? MOST_IN_SHORT : Number.POSITIVE_INFINITY} />
      )}
      <p class="small">
        Not in the budget: heating of the wire by the current (close the key only while reading), and a worn
        or heavy edge of the jockey.
      </p>
    </Section>
  );
}

function Ranked({ result, most }: { result: Outcome; most: number }) {
  const ranked = rankedSources(result.budget).slice(0, most);
  return (
    <Table
      caption="The largest first, ranked by their share of the combined variance of this run, with what U would be if the source were gone."
      columns={[
        { head: 'source', words: true },
        { head: 'share / %' },
        { head: 'U without it' },
        { head: 'what would make it smaller', words: true },
      ]}
      rows={ranked.map(({ source, variance }) => [
        source.name,
        fixed(100 * (variance / result.u ** 2), 1),
        uncertaintyText(result.k * Math.sqrt(Math.max(0, result.u ** 2 - variance))),
        source.remedy,
      ])}
    />
  );
}

export function rankedSources(budget: readonly BudgetRow[]): { source: ErrorSource; variance: number }[] {
  const variances = new Map<ErrorSource, number>();
  for (const { symbol, contribution } of budget) {
    const source = ERROR_SOURCES.find(({ symbols }) => symbols.test(symbol)) ?? OTHER;
    variances.set(source, (variances.get(source) ?? 0) + contribution ** 2);
  }
  return [...variances]
    .map(([source, variance]) => ({ source, variance }))
    .sort((a, b) => b.variance - a.variance);
}
