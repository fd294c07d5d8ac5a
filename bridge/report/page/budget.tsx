import type { BudgetRow, Outcome } from '../../calc-core/outcome.ts';
import {
  dofText,
  estimateText,
  fixed,
  resultText,
  roundTogether,
  significant,
  uncertaintyText,
  unitSymbol,
} from '../../calc-core/rounding.ts';
import { type Column, Quantity, Section, Sym, Table } from './figures.tsx';

const COLUMNS: Column[] = [
  { head: 'input', words: true },
  { head: 'what it is', words: true },
  { head: 'estimate' },
  { head: 'unit', words: true },
  {
    head: (
      <>
        standard uncertainty <i>u</i>
      </>
    ),
  },
  { head: 'distribution', words: true },
  {
    head: (
      <>
        sensitivity <i>c</i>
      </>
    ),
  },
  {
    head: (
      <>
        contribution |<i>c</i>|<i>u</i>
      </>
    ),
  },
  { head: <i>ν</i> },
  { head: 'share / %' },
];

const cellsOf = (row: BudgetRow, result: Outcome) => [
  <Sym name={row.symbol} />,
  row.assumed ? `${row.meaning.text} (assumed)` : row.meaning.text,
  estimateText(row),
  unitSymbol(row.unit),
  uncertaintyText(row.standardUncertainty),
  row.distribution,
  significant(row.sensitivity, 3),
  uncertaintyText(row.contribution),
  dofText(row.dof),
  fixed(100 * (row.contribution / result.u) ** 2, 1),
];

/** The uncertainty budget (JCGM 100:2008, annex H shows its like). */
export function Budget({ result }: { result: Outcome }) {
  return (
    <Section title="Uncertainty budget">
      <Table
        caption="One row for each independent cause. Contribution: sensitivity coefficient times standard uncertainty, without sign; share: its part of the combined variance. δ: an error whose best estimate is zero. An error that acts on several lengths is one row; where it has several parts, the coefficient is their size together."
        columns={COLUMNS}
        rows={result.budget.map((row) => cellsOf(row, result))}
        foot={[
          <Quantity name={result.quantity} />,
          'combined standard uncertainty',
          roundTogether(result.value, result.u).value,
          unitSymbol(result.unit),
          uncertaintyText(result.u),
          '',
          '',
          uncertaintyText(result.u),
          '',
          '100.0',
        ]}
      />
      <p>
        <Expanded result={result} /> Printed: <span class="keep">{resultText(result)}</span>.
      </p>
    </Section>
  );
}

/** From u to U. */
const Expanded = ({ result }: { result: Outcome }) => (
  <>
    <i>U</i> = <i>k</i>
    <i>u</i> = {significant(result.U, 3)} with <i>k</i> = {fixed(result.k, 3)}: the smallest half-width that
    holds {Math.round(100 * result.coverage)} % of the average over the models.
  </>
);
