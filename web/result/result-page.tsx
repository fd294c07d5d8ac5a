import {
  DASH,
  dofText,
  estimateText,
  fixed,
  plusMinus,
  roundTogether,
  significant,
  uncertaintyText,
  unitSymbol,
} from '../../bridge/calc-core/rounding.ts';
import { symbolParts } from '../../bridge/calc-core/symbol.ts';
import type { BudgetRow, Outcome, SessionView } from '../../bridge/serve/page-protocol.ts';
import { useView } from '../app/app-context.ts';
import { TableHead } from '../app/table-head.tsx';
import { Observations } from '../run/observations.tsx';
import { outcomeOf, ResultLine, type ShownOutcome } from '../run/result-line.tsx';
import { useTexts } from '../texts/texts.ts';
import { ByReference } from './by-reference.tsx';
import { useCalculation } from './calculation.ts';
import { Exports } from './exports.tsx';
import { ForTheTeacher } from './for-the-teacher.tsx';
import { OwnWorking } from './own-working.tsx';
import { SetsPlot } from './sets-plot.tsx';

export function ResultPage() {
  const view = useView();
  const calculation = useCalculation();
  if (view === null) return null;
  const outcome = outcomeOf(view);
  return (
    <div class="result-page">
      <ResultLine />
      <ForTheTeacher view={view} />
      <Exports />
      <Observations />
      <OwnWorking view={view} />
      <Beside view={view} outcome={outcome} />
      <ByReference view={view} />
      <SetsPlot view={view} />
      {outcome !== null && calculation !== null && <Budget outcome={calculation} />}
    </div>
  );
}

/** What stands beside the adopted result: the mean by the book, the end correction, how it was worked out. */
function Beside({ view, outcome }: { view: SessionView; outcome: ShownOutcome | null }) {
  const texts = useTexts();
  const found = view.work.outcome;
  if (found === null) return null;
  const { byTheBook, endCorrectionCm } = found;
  return (
    <section class="panel">
      <dl class="figures beside">
        {byTheBook !== null && (
          <>
            <dt>{texts.result.byTheBook}</dt>
            <dd>
              {texts.result.mean(
                roundTogether(byTheBook.mean, outcome?.U ?? byTheBook.standardDeviation).value,
                byTheBook.standardDeviation === null ? DASH : uncertaintyText(byTheBook.standardDeviation),
                byTheBook.n,
              )}
            </dd>
          </>
        )}
        {endCorrectionCm !== null && (
          <>
            <dt>{texts.result.endCorrection}</dt>
            <dd>{plusMinus(endCorrectionCm.value, endCorrectionCm.u, 'cm')}</dd>
          </>
        )}
      </dl>
      {outcome !== null && <p>{texts.localise(outcome.method)}</p>}
      {outcome !== null && found.check === null && <p class="quiet">{texts.result.unchecked}</p>}
    </section>
  );
}

/** A symbol as print sets it. */
function Sym({ name }: { name: string }) {
  const { letter, subscripts } = symbolParts(name);
  return (
    <span class="tabular">
      <i>{letter}</i>
      {subscripts !== '' && <sub>{subscripts}</sub>}
    </span>
  );
}

/** As print, and as the text that was calculated with. */
function Formula({ outcome }: { outcome: Outcome }) {
  const texts = useTexts();
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reachable by keyboard */}
      <section class="scroll formula-print" tabIndex={0} aria-label={texts.result.formula}>
        <div dangerouslySetInnerHTML={{ __html: outcome.mathMl }} />
      </section>
      <details>
        <summary>{texts.result.formulaText}</summary>
        <code class="formula">{outcome.formula}</code>
      </details>
    </>
  );
}

function Budget({ outcome }: { outcome: Outcome }) {
  const texts = useTexts();
  const columns = texts.result.columns;
  const rows = outcome.budget.toSorted((a, b) => b.contribution - a.contribution);
  return (
    <section class="panel">
      <h2>{texts.result.budget}</h2>
      <h3>{texts.result.formula}</h3>
      <Formula outcome={outcome} />
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reachable by keyboard */}
      <section class="scroll" tabIndex={0} aria-label={texts.result.budget}>
        <table class="budget">
          <TableHead
            headings={[
              columns.input,
              columns.estimate,
              columns.u,
              columns.distribution,
              columns.sensitivity,
              columns.contribution,
              columns.dof,
              texts.result.share,
            ]}
          />
          <tbody>
            {rows.map((row) => (
              <BudgetLine key={row.symbol} row={row} outcome={outcome} />
            ))}
          </tbody>
        </table>
      </section>
    </section>
  );
}

function BudgetLine({ row, outcome }: { row: BudgetRow; outcome: Outcome }) {
  const texts = useTexts();
  const unit = row.unit === '1' ? '' : ` ${unitSymbol(row.unit)}`;
  const share = outcome.u > 0 ? (row.contribution / outcome.u) ** 2 : 0;
  return (
    <tr>
      <th scope="row">
        <Sym name={row.symbol} />{' '}
        <span class="quiet">
          {texts.localise(row.meaning)}
          {row.assumed ? ` ${texts.result.assumed}` : ''}
        </span>
      </th>
      <td>
        {estimateText(row)}
        {unit}
      </td>
      <td>
        {uncertaintyText(row.standardUncertainty)}
        {unit}
      </td>
      <td>{texts.result.distributions[row.distribution]}</td>
      <td>{significant(row.sensitivity, 3)}</td>
      <td>
        {uncertaintyText(row.contribution)} {unitSymbol(outcome.unit)}
      </td>
      <td>{dofText(row.dof)}</td>
      <td>
        <span class="share" style={{ '--share': `${Math.min(100, share * 100)}%` }}>
          {fixed(share * 100, 1)} %
        </span>
      </td>
    </tr>
  );
}
