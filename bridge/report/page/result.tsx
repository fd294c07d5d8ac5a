import type { Bench } from '../../bench/bench-file.ts';
import type { Outcome, PlainMean } from '../../calc-core/outcome.ts';
import { DASH, roundTogether, significant, uncertaintyText, unitSymbol } from '../../calc-core/rounding.ts';
import { compareWithNominal } from '../nominal.ts';
import type { ReportedRun } from '../read-run.ts';
import { Check } from './check.tsx';
import { PlusMinus, Section } from './figures.tsx';
import { useTexts } from './language.tsx';
import { Nominal } from './nominal.tsx';
import { fill, Say } from './say.tsx';
import { Meaning, NoResult, Statement } from './statement.tsx';

/** The result as the GUM asks for it (7.2.3, 7.2.4, 7.2.6), by the book beside it, and what it was compared with. */
export function Result({ run, bench }: { run: ReportedRun; bench: Bench | null }) {
  const texts = useTexts();
  const { outcome } = run.view.work;
  if (outcome === null || outcome.result === null)
    return (
      <Section title={texts.result.heading}>
        <NoResult />
      </Section>
    );
  const { result, byTheBook, endCorrectionCm } = outcome;
  const nominal = bench === null ? null : compareWithNominal(bench, run.view.referenceCells, result);
  return (
    <Section title={texts.result.heading}>
      <Statement result={result} />
      <Meaning result={result} />
      {endCorrectionCm === null ? null : (
        <p>
          <Say
            text={texts.result.endCorrection}
            given={{
              correction: (
                <PlusMinus value={endCorrectionCm.value} uncertainty={endCorrectionCm.u} unit="cm" />
              ),
            }}
          />
        </p>
      )}
      {byTheBook === null ? null : <BesideTheBook result={result} mean={byTheBook} />}
      {outcome.check === null ? null : <Check result={result} check={outcome.check} />}
      {nominal === null || bench === null ? null : <Nominal nominal={nominal} bench={bench} />}
    </Section>
  );
}

function BesideTheBook({ result, mean }: { result: Outcome; mean: PlainMean }) {
  const texts = useTexts();
  const difference = `${significant(mean.mean - result.value, 2)} ${unitSymbol(result.unit)}`.trim();
  return (
    <>
      <BookTable result={result} mean={mean} />
      <p>{fill(texts.result.besideBook, { difference })}</p>
    </>
  );
}

function BookTable({ result, mean }: { result: Outcome; mean: PlainMean }) {
  const texts = useTexts();
  const s = mean.standardDeviation;
  const unit = unitSymbol(result.unit);
  const adopted = roundTogether(result.value, result.U);
  const ofMean = s === null ? null : s / Math.sqrt(mean.n);
  return (
    <table class="narrow short">
      <caption>{texts.result.book}</caption>
      <thead>
        <tr>
          <th scope="col" class="words">
            {texts.result.way}
          </th>
          <th scope="col">{texts.value}</th>
          <th scope="col">{texts.result.uncertainty}</th>
          <th scope="col" class="words">
            {texts.result.whichIs}
          </th>
        </tr>
      </thead>
      <tbody>
        <tr>
          <td class="words">{fill(texts.result.bookMean, { n: mean.n })}</td>
          <td>
            {roundTogether(mean.mean, result.U).value} {unit}
          </td>
          <td>{ofMean === null ? DASH : uncertaintyText(ofMean)}</td>
          <td class="words">{texts.result.scatterAlone}</td>
        </tr>
        <tr>
          <td class="words">
            <b>{texts.result.adopted}</b>
          </td>
          <td>
            <b>
              {adopted.value} {unit}
            </b>
          </td>
          <td>
            <b>{adopted.uncertainty}</b>
          </td>
          <td class="words">{texts.result.everything}</td>
        </tr>
      </tbody>
    </table>
  );
}
