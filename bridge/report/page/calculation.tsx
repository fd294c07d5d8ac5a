import type { Formulas } from '../../calc-core/formulas.ts';
import type { ComparisonOutcome, Outcome, PlainMean } from '../../calc-core/outcome.ts';
import { fixed, plusMinus, significant, unitSymbol } from '../../calc-core/rounding.ts';
import type { RunWork } from '../../run/view.ts';
import type { ReportedRun } from '../read-run.ts';
import { estimatesOf } from './estimates.ts';
import { Quantity, Section, Table } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill, Say } from './say.tsx';
import { StraightLine } from './straight-line.tsx';

/** The calculation with the numbers put in, from the formula that it was really done with. */
export function Calculation({ run }: { run: ReportedRun }) {
  const { calculation, localise } = useTexts();
  const { work } = run.view;
  const { outcome } = work;
  if (outcome === null || outcome.result === null) return null;
  const { result, byTheBook } = outcome;
  return (
    <Section title={calculation.heading}>
      {byTheBook === null ? null : <ByTheBook mean={byTheBook} work={work} />}
      {work.procedure === 'emf-comparison' ? <StraightLine work={work} /> : null}
      <h3>{calculation.adopted}</h3>
      <p>{localise(result.method)}</p>
      <div class="formula whole">
        <span>
          <Quantity name={result.quantity} /> =
        </span>
        <Markup html={inlineOf(result.formula, run.formulas)} />
      </div>
      <Worked result={result} formulas={run.formulas} />
      <WhatStands correction={outcome.endCorrectionCm} />
    </Section>
  );
}

/** MathML made by the calc core from our own formula; no word of a recording is in it. */
const Markup = ({ html }: { html: string }) => (
  <div class="formula" dangerouslySetInnerHTML={{ __html: html }} />
);

const inlineOf = (formula: string, formulas: Formulas): string =>
  formulas.compile(formula).mathMl().replace('display="block"', 'displaystyle="true"');

const DECIMALS = 5;

function ByTheBook({ mean, work }: { mean: PlainMean; work: RunWork }) {
  const { calculation } = useTexts();
  const values = plainValues(work)
    .map((value) => fixed(value, DECIMALS))
    .join(' + ');
  const comparing = work.procedure === 'emf-comparison';
  const unit = comparing ? '' : ' Ω';
  const { standardDeviation: s, n } = mean;
  const bold = (
    <b>
      {fixed(mean.mean, DECIMALS)}
      {unit}
    </b>
  );
  return (
    <>
      <h3>{calculation.byTheBook}</h3>
      <p>
        <Say
          text={calculation.bookMean}
          given={{
            each: <Say text={comparing ? '{l_1}/{l_2}' : '{r} = {R}({l_0}/{l} − 1)'} />,
            values,
            n,
            mean: bold,
          }}
        />
        {s === null ? (
          '.'
        ) : (
          <Say
            text={calculation.bookSpread}
            given={{
              deviation: fixed(s, DECIMALS),
              unit,
              n,
              ofMean: fixed(s / Math.sqrt(n), DECIMALS),
            }}
          />
        )}
      </p>
    </>
  );
}

const plainValues = (work: RunWork): number[] =>
  work.procedure === 'emf-comparison'
    ? (work.outcome?.sets.map((set) => set.ratio) ?? [])
    : (work.outcome?.sets.map((set) => set.rOhm) ?? []);

const WEIGHTED_QUOTIENT = /^\((w_.*)\)\/\((w_.*)\)$/;

/** A quotient of weighted sums as a table of its terms; any other formula with its numbers put in. */
function Worked({ result, formulas }: { result: Outcome; formulas: Formulas }) {
  const { calculation } = useTexts();
  const parts = WEIGHTED_QUOTIENT.exec(result.formula);
  const scope = estimatesOf(result);
  if (parts === null) {
    return (
      <>
        <Markup html={formulas.compile(withNumbers(result.formula, scope)).mathMl()} />
        <Answer result={result} />
      </>
    );
  }
  const [over, under] = [parts[1], parts[2]].map((sum) => sum.split(/ \+ (?=w_)/));
  const total = (terms: string[]) =>
    terms.reduce((sum, term) => sum + formulas.compile(term).value(scope), 0);
  return (
    <>
      <Terms name={calculation.above} terms={over} total={total(over)} {...{ formulas, scope }} />
      <Terms name={calculation.below} terms={under} total={total(under)} {...{ formulas, scope }} />
      <p class="answer">
        <Quantity name={result.quantity} /> = {fixed(total(over), DECIMALS)} / {fixed(total(under), DECIMALS)}
      </p>
      <Answer result={result} />
    </>
  );
}

function Answer({ result }: { result: Outcome }) {
  const { calculation } = useTexts();
  const unit = unitSymbol(result.unit);
  return (
    <>
      <p class="answer">
        <Say
          text={calculation.single}
          given={{
            quantity: <Quantity name={result.quantity} />,
            number: <b>{fixed(result.singleModel.value, DECIMALS + 1)}</b>,
            unit,
          }}
        />
      </p>
      <p>
        <Say
          text={calculation.average}
          given={{
            number: <b>{fixed(result.value, DECIMALS + 1)}</b>,
            unit,
            difference: significant(result.value - result.singleModel.value, 2),
          }}
        />
      </p>
    </>
  );
}

interface TermsProps {
  name: string;
  terms: string[];
  total: number;
  formulas: Formulas;
  scope: Record<string, number>;
}

function Terms({ name, terms, total, formulas, scope }: TermsProps) {
  const { calculation, value } = useTexts();
  return (
    <Table
      caption={fill(calculation.terms, { name })}
      columns={[
        { head: calculation.term, words: true },
        { head: calculation.withNumbers, words: true },
        { head: value },
      ]}
      rows={terms.map((term) => [
        <Markup html={inlineOf(term, formulas)} />,
        <Markup html={inlineOf(withNumbers(term, scope), formulas)} />,
        fixed(formulas.compile(term).value(scope), DECIMALS),
      ])}
      foot={[calculation.sum, '', fixed(total, DECIMALS)]}
    />
  );
}

const PLACES = 10_000;

const withNumbers = (formula: string, scope: Record<string, number>): string =>
  formula.replace(/[a-zA-Z]\w*/g, (name) => {
    const value = Math.round(scope[name] * PLACES) / PLACES;
    return value < 0 ? `(${value})` : String(value);
  });

function WhatStands({ correction }: { correction: ComparisonOutcome['endCorrectionCm'] }) {
  const { calculation } = useTexts();
  if (correction === null) return null;
  return (
    <p class="small">
      <Say
        text={calculation.weights}
        given={{ correction: plusMinus(correction.value, correction.u, 'cm') }}
      />
    </p>
  );
}
