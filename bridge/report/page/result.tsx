import type { Bench } from '../../bench/bench-file.ts';
import type { IntervalCheck, Outcome, PlainMean } from '../../calc-core/outcome.ts';
import type { NominalComparison } from '../nominal.ts';
import { compareWithNominal } from '../nominal.ts';
import type { ReportedRun } from '../read-run.ts';
import { dofText, fixed, PlusMinus, Quantity, Section, Significant, unitText } from './figures.tsx';
import { voltsText } from './volts.ts';

/** The result as the GUM asks for it (7.2.3, 7.2.4, 7.2.6), by the book beside it, and what it was compared with. */
export function Result({ run, bench }: { run: ReportedRun; bench: Bench | null }) {
  const outcome = run.view.comparison ?? run.view.internalResistance;
  if (outcome === null || outcome.result === null) return <NoResult />;
  const { result, byTheBook, endCorrectionCm } = outcome;
  const nominal = bench === null ? null : compareWithNominal(bench, result);
  return (
    <Section title="Result">
      <Statement result={result} />
      <Meaning result={result} />
      {endCorrectionCm === null ? null : (
        <p>
          End correction at A: <PlusMinus value={endCorrectionCm.value} uncertainty={endCorrectionCm.u} /> cm
          (standard uncertainty), estimated along with the result.
        </p>
      )}
      {byTheBook === null ? null : <BesideTheBook result={result} mean={byTheBook} />}
      {run.check === null ? null : <Check result={result} check={run.check} />}
      {nominal === null || bench === null ? null : <Nominal nominal={nominal} bench={bench} />}
    </Section>
  );
}

function NoResult() {
  return (
    <Section title="Result">
      <p class="statement">No result: the findings say why.</p>
    </Section>
  );
}

export const Statement = ({ result }: { result: Outcome }) => (
  <p class="statement">
    <Quantity name={result.quantity} /> = <PlusMinus value={result.value} uncertainty={result.U} />{' '}
    {unitText(result.unit)}
  </p>
);

/** In the words that GUM 7.2.4 recommends. */
function Meaning({ result }: { result: Outcome }) {
  return (
    <p>
      The number after ± is the expanded uncertainty <i>U</i> = <i>k</i>
      <i>u</i>, with the combined standard uncertainty <i>u</i> = <Significant value={result.u} digits={2} />{' '}
      {unitText(result.unit)} and <i>k</i> = {fixed(result.k, 2)} from the <i>t</i>-distribution for{' '}
      {dofText(result.dof)} degrees of freedom. It defines an interval estimated to have a level of confidence
      of {Math.round(100 * result.coverage)} percent.
    </p>
  );
}

function BesideTheBook({ result, mean }: { result: Outcome; mean: PlainMean }) {
  const unit = unitText(result.unit);
  const s = mean.standardDeviation;
  const off = mean.mean - result.value;
  return (
    <>
      <table class="narrow short">
        <caption>By the book, and adopted.</caption>
        <thead>
          <tr>
            <th scope="col" class="words">
              way
            </th>
            <th scope="col">value</th>
            <th scope="col">uncertainty</th>
            <th scope="col" class="words">
              which is
            </th>
          </tr>
        </thead>
        <tbody>
          <tr>
            <td class="words">by the book: mean of {mean.n}</td>
            <td>
              {fixed(mean.mean, 5)} {unit}
            </td>
            <td>{s === null ? '–' : <Significant value={s / Math.sqrt(mean.n)} digits={2} />}</td>
            <td class="words">s/√n: scatter alone</td>
          </tr>
          <tr>
            <td class="words">
              <b>adopted</b>
            </td>
            <td>
              <b>
                {fixed(result.value, 5)} {unit}
              </b>
            </td>
            <td>
              <b>
                <Significant value={result.U} digits={2} />
              </b>
            </td>
            <td class="words">expanded, everything in the budget</td>
          </tr>
        </tbody>
      </table>
      <p>
        Adopted is the estimate that knows the end correction. The plain mean leaves it out, which makes a
        difference of <Significant value={off} digits={2} /> {unit} here; and the scatter of the sets says
        nothing of what they all share, such as the calibration of the scale, the wire and the end correction.
      </p>
    </>
  );
}

function Check({ result, check }: { result: Outcome; check: IntervalCheck }) {
  const decimals = Math.max(0, 1 - Math.floor(Math.log10(result.U)));
  const interval = `${fixed(check.low, decimals)} to ${fixed(check.high, decimals)}`;
  const percent = Math.round(100 * result.coverage);
  if (check.agrees)
    return (
      <p>
        Check of the interval by a Monte Carlo run (JCGM 101:2008, {check.trials} trials): {interval} (
        {percent} %). It agrees with the one stated to the digits that count.
      </p>
    );
  return (
    <p class="caveat">
      <b>The interval should be wider or lie elsewhere.</b> A Monte Carlo run (JCGM 101:2008, {check.trials}{' '}
      trials) gives <b>{interval}</b> ({percent} %) and differs from the interval stated above by more than
      the digits that count; it is the one to be believed. The usual cause is an uncertainty known from two or
      three readings only: take more passes of each null.
    </p>
  );
}

function Nominal({ nominal, bench }: { nominal: NominalComparison; bench: Bench }) {
  const { first, second, ratio, U, difference, differenceU } = nominal;
  const quotient = (
    <>
      {voltsText(bench, first)} / {voltsText(bench, second)} ={' '}
      {U === null ? fixed(ratio, 3) : <PlusMinus value={ratio} uncertainty={U} />}
    </>
  );
  if (differenceU === null)
    return (
      <p>
        By the voltmeter: {quotient}; difference <Significant value={difference} digits={2} />. The
        voltmeter's least count is not stated, so nothing can be said of how well they agree.
      </p>
    );
  const agree = Math.abs(difference) <= differenceU;
  return (
    <p>
      By the voltmeter: {quotient} (<i>k</i> = 2, from its least count alone). The difference,{' '}
      <PlusMinus value={difference} uncertainty={differenceU} />, is {agree ? 'within' : 'beyond'} its
      expanded uncertainty: the two {agree ? 'agree' : 'do not agree'}. The voltmeter draws current and so
      reads a little low; the potentiometer at its null does not.
    </p>
  );
}
