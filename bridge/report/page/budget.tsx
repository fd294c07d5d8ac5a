import type { Outcome } from '../../calc-core/outcome.ts';
import {
  dofText,
  fixed,
  PlusMinus,
  Quantity,
  Section,
  Significant,
  Sym,
  Table,
  unitText,
} from './figures.tsx';

/** The uncertainty budget (JCGM 100:2008, annex H shows its like). */
export function Budget({ result }: { result: Outcome }) {
  return (
    <Section title="Uncertainty budget">
      <Table
        caption="One row for each independent cause. Contribution: sensitivity coefficient times standard uncertainty, without sign; share: its part of the combined variance. δ: an error whose best estimate is zero. An error that acts on several lengths is one row; where it has several parts, the coefficient is their size together."
        columns={[
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
        ]}
        rows={result.budget.map((row) => [
          <Sym name={row.symbol} />,
          row.meaning.text,
          row.estimate === 0 ? '0' : fixed(row.estimate, row.unit === 'cm' ? 3 : 2),
          unitText(row.unit),
          <Significant value={row.standardUncertainty} digits={2} />,
          row.distribution,
          <Significant value={row.sensitivity} />,
          <Significant value={row.contribution} />,
          dofText(row.dof),
          fixed(100 * (row.contribution / result.u) ** 2, 1),
        ])}
        foot={[
          <Quantity name={result.quantity} />,
          'combined standard uncertainty',
          fixed(result.value, 5),
          unitText(result.unit),
          <Significant value={result.u} />,
          '',
          '',
          <Significant value={result.u} />,
          dofText(result.dof),
          '100.0',
        ]}
      />
      <p>
        Effective degrees of freedom by Welch and Satterthwaite: {dofText(result.dof)}.{' '}
        <Expanded result={result} /> Printed: <PlusMinus value={result.value} uncertainty={result.U} />
        {result.unit === 'ohm' ? ' Ω' : ''}.
      </p>
    </Section>
  );
}

/** From u to U. */
const Expanded = ({ result }: { result: Outcome }) =>
  result.intervalBy === 'monte-carlo' ? (
    <>
      The interval is that of a Monte Carlo run (see “Result”): <i>U</i> = <Significant value={result.U} />.
    </>
  ) : (
    <>
      Student's <i>t</i> for {Math.round(100 * result.coverage)} % gives <i>k</i> = {fixed(result.k, 3)};{' '}
      <i>U</i> = <i>k</i>
      <i>u</i> = {fixed(result.k, 3)} × <Significant value={result.u} /> = <Significant value={result.U} />.
    </>
  );
