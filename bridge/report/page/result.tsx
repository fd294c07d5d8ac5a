import type { Bench } from '../../bench/bench-file.ts';
import type { Outcome, PlainMean } from '../../calc-core/outcome.ts';
import { DASH, roundTogether, significant, uncertaintyText, unitSymbol } from '../../calc-core/rounding.ts';
import { compareWithNominal } from '../nominal.ts';
import type { ReportedRun } from '../read-run.ts';
import { Check } from './check.tsx';
import { PlusMinus, Section } from './figures.tsx';
import { Nominal } from './nominal.tsx';
import { Meaning, NoResult, Statement } from './statement.tsx';

/** The result as the GUM asks for it (7.2.3, 7.2.4, 7.2.6), by the book beside it, and what it was compared with. */
export function Result({ run, bench }: { run: ReportedRun; bench: Bench | null }) {
  const { outcome } = run.view.work;
  if (outcome === null || outcome.result === null)
    return (
      <Section title="Result">
        <NoResult />
      </Section>
    );
  const { result, byTheBook, endCorrectionCm } = outcome;
  const nominal = bench === null ? null : compareWithNominal(bench, run.view.referenceCells, result);
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
      {outcome.check === null ? null : <Check result={result} check={outcome.check} />}
      {nominal === null || bench === null ? null : <Nominal nominal={nominal} bench={bench} />}
    </Section>
  );
}

function BesideTheBook({ result, mean }: { result: Outcome; mean: PlainMean }) {
  const unit = unitSymbol(result.unit);
  return (
    <>
      <BookTable result={result} mean={mean} />
      <p>
        Adopted is the estimate that knows the end correction. The plain mean leaves it out, which makes a
        difference of {significant(mean.mean - result.value, 2)} {unit} here; and the scatter of the sets says
        nothing of what they all share, such as the calibration of the scale, the wire and the end correction.
      </p>
    </>
  );
}

function BookTable({ result, mean }: { result: Outcome; mean: PlainMean }) {
  const s = mean.standardDeviation;
  const unit = unitSymbol(result.unit);
  const adopted = roundTogether(result.value, result.U);
  const ofMean = s === null ? null : s / Math.sqrt(mean.n);
  return (
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
            {roundTogether(mean.mean, result.U).value} {unit}
          </td>
          <td>{ofMean === null ? DASH : uncertaintyText(ofMean)}</td>
          <td class="words">s/√n: scatter alone</td>
        </tr>
        <tr>
          <td class="words">
            <b>adopted</b>
          </td>
          <td>
            <b>
              {adopted.value} {unit}
            </b>
          </td>
          <td>
            <b>{adopted.uncertainty}</b>
          </td>
          <td class="words">expanded, everything in the budget</td>
        </tr>
      </tbody>
    </table>
  );
}
