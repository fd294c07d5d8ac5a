import type { Formulas } from '../../calc-core/formulas.ts';
import type { ComparisonOutcome, Outcome, PlainMean } from '../../calc-core/outcome.ts';
import { fixed, plusMinus, significant, unitSymbol } from '../../calc-core/rounding.ts';
import type { RunWork } from '../../run/view.ts';
import type { ReportedRun } from '../read-run.ts';
import { estimatesOf } from './estimates.ts';
import { Quantity, Section, Sym, Table } from './figures.tsx';
import { StraightLine } from './straight-line.tsx';

/** The calculation with the numbers put in, from the formula that it was really done with. */
export function Calculation({ run }: { run: ReportedRun }) {
  const { work } = run.view;
  const { outcome } = work;
  if (outcome === null || outcome.result === null) return null;
  const { result, byTheBook } = outcome;
  return (
    <Section title="Calculation">
      {byTheBook === null ? null : <ByTheBook mean={byTheBook} work={work} />}
      {work.procedure === 'emf-comparison' ? <StraightLine work={work} /> : null}
      <h3>Adopted</h3>
      <p>{result.method.text}</p>
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
  const values = plainValues(work)
    .map((value) => fixed(value, DECIMALS))
    .join(' + ');
  const comparing = work.procedure === 'emf-comparison';
  const each = comparing ? (
    <>
      <Sym name="l_1" />/<Sym name="l_2" />
    </>
  ) : (
    <>
      <i>r</i> = <i>R</i>(
      <Sym name="l_0" />/<Sym name="l" /> − 1)
    </>
  );
  const unit = comparing ? '' : ' Ω';
  const { standardDeviation: s, n } = mean;
  return (
    <>
      <h3>By the book</h3>
      <p>
        {each} of each set; their mean is ({values}) / {n} ={' '}
        <b>
          {fixed(mean.mean, DECIMALS)}
          {unit}
        </b>
        {s === null ? (
          '.'
        ) : (
          <>
            , their standard deviation <i>s</i> = {fixed(s, DECIMALS)}
            {unit}, that of the mean <i>s</i>/√{n} = {fixed(s / Math.sqrt(n), DECIMALS)}
            {unit}.
          </>
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
      <Terms name="Above the line" terms={over} total={total(over)} {...{ formulas, scope }} />
      <Terms name="Below the line" terms={under} total={total(under)} {...{ formulas, scope }} />
      <p class="answer">
        <Quantity name={result.quantity} /> = {fixed(total(over), DECIMALS)} / {fixed(total(under), DECIMALS)}
      </p>
      <Answer result={result} />
    </>
  );
}

const Answer = ({ result }: { result: Outcome }) => (
  <>
    <p class="answer">
      <Quantity name={result.quantity} /> = <b>{fixed(result.singleModel.value, DECIMALS + 1)}</b>{' '}
      {unitSymbol(result.unit)} by the most probable model alone
    </p>
    <p>
      The other models that can explain the sets count, too, each as far as it is probable. Their average is{' '}
      <b>{fixed(result.value, DECIMALS + 1)}</b> {unitSymbol(result.unit)} before rounding; it differs by{' '}
      {significant(result.value - result.singleModel.value, 2)}.
    </p>
  </>
);

interface TermsProps {
  name: string;
  terms: string[];
  total: number;
  formulas: Formulas;
  scope: Record<string, number>;
}

function Terms({ name, terms, total, formulas, scope }: TermsProps) {
  return (
    <Table
      caption={`${name}. w are the weights, α is the end correction that the model supposes; lengths in cm.`}
      columns={[{ head: 'term', words: true }, { head: 'with its numbers', words: true }, { head: 'value' }]}
      rows={terms.map((term) => [
        <Markup html={inlineOf(term, formulas)} />,
        <Markup html={inlineOf(withNumbers(term, scope), formulas)} />,
        fixed(formulas.compile(term).value(scope), DECIMALS),
      ])}
      foot={['sum', '', fixed(total, DECIMALS)]}
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
  if (correction === null) return null;
  return (
    <p class="small">
      The weights are those of the model's least-squares fit, rounded to four decimals. Some are negative
      where the sets also tell the end correction: with these weights an error of α nearly cancels, as far as
      the sets can see it. What they and the knowledge beforehand say of it together is{' '}
      {plusMinus(correction.value, correction.u, 'cm')} (standard uncertainty).
    </p>
  );
}
