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
import { useTexts } from './language.tsx';
import { fill, Say } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';

const columnsOf = ({ budget, standardUncertainty }: RecordTexts): Column[] => [
  { head: budget.input, words: true },
  { head: budget.what, words: true },
  { head: budget.estimate },
  { head: budget.unit, words: true },
  { head: <Say text={standardUncertainty} /> },
  { head: budget.distribution, words: true },
  { head: <Say text={budget.sensitivity} /> },
  { head: <Say text={budget.contribution} /> },
  { head: <i>ν</i> },
  { head: budget.share },
];

const cellsOf = ({ budget, localise }: RecordTexts, row: BudgetRow, result: Outcome) => [
  <Sym name={row.symbol} />,
  row.assumed ? fill(budget.assumed, { what: localise(row.meaning) }) : localise(row.meaning),
  estimateText(row),
  unitSymbol(row.unit),
  uncertaintyText(row.standardUncertainty),
  budget.distributions[row.distribution],
  significant(row.sensitivity, 3),
  uncertaintyText(row.contribution),
  dofText(row.dof),
  fixed(100 * (row.contribution / result.u) ** 2, 1),
];

/** The uncertainty budget (JCGM 100:2008, annex H shows its like). */
export function Budget({ result }: { result: Outcome }) {
  const texts = useTexts();
  const { budget } = texts;
  return (
    <Section title={budget.heading}>
      <Table
        caption={budget.caption}
        columns={columnsOf(texts)}
        rows={result.budget.map((row) => cellsOf(texts, row, result))}
        foot={[
          <Quantity name={result.quantity} />,
          budget.combined,
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
        <Say
          text={budget.expanded}
          given={{
            size: significant(result.U, 3),
            factor: fixed(result.k, 3),
            percent: Math.round(100 * result.coverage),
            printed: <span class="keep">{resultText(result)}</span>,
          }}
        />
      </p>
    </Section>
  );
}
