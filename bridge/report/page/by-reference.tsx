import type { Bench } from '../../bench/bench-file.ts';
import type { Outcome } from '../../calc-core/outcome.ts';
import { fixed, roundTogether, uncertaintyText } from '../../calc-core/rounding.ts';
import { driverText } from '../../run/set-rows.ts';
import type { ComparisonWork, ReferenceCellView, RunView, WireLineView } from '../../run/view.ts';
import { compareWithNominal } from '../nominal.ts';
import { Check } from './check.tsx';
import { PlusMinus, Section, Sym, Table } from './figures.tsx';
import { useTexts } from './language.tsx';
import { Nominal } from './nominal.tsx';
import { fill, Say } from './say.tsx';
import { Meaning, Statement } from './statement.tsx';

/** What a cell of known EMF adds: the other cell's EMF, and the wire as a measure of voltage. Nothing without one. */
export function ByReference({ view, bench }: { view: RunView; bench: Bench | null }) {
  const { byReference } = useTexts();
  const { work } = view;
  if (bench === null || view.referenceCells.length === 0 || work.procedure !== 'emf-comparison') return null;
  const result = work.emf?.result ?? null;
  const check = work.emf?.check ?? null;
  const nominal = result === null ? null : compareWithNominal(bench, view.referenceCells, result);
  return (
    <Section title={byReference.heading}>
      {view.referenceCells.map((reference) => (
        <KnownCell reference={reference} />
      ))}
      {result === null ? null : (
        <>
          <Statement result={result} />
          <Meaning result={result} />
          <HowWorked result={result} work={work} />
          {check === null ? null : <Check result={result} check={check} />}
        </>
      )}
      {nominal === null ? null : <Nominal nominal={nominal} bench={bench} />}
      {work.wireLines.length === 0 ? null : <WireLines lines={work.wireLines} />}
    </Section>
  );
}

function KnownCell({ reference }: { reference: ReferenceCellView }) {
  const { byReference, localise } = useTexts();
  const { cell, emfV, uEmfV, weston, trouble } = reference;
  if (emfV === null || uEmfV === null)
    return <p>{fill(byReference.unknown, { cell, why: trouble === null ? '' : localise(trouble) })}</p>;
  const how =
    weston === null
      ? ''
      : fill(byReference.weston, {
          emf20: weston.emf20V,
          temperature: weston.temperatureC ?? '–',
          source: byReference.formulas[weston.formula] ?? weston.source,
        });
  return (
    <p>
      <Say
        text={byReference.known}
        given={{ cell, emf: <PlusMinus value={emfV} uncertainty={uEmfV} unit="V" />, how }}
      />
    </p>
  );
}

/** The ratio is worked out above; here stands what the reference cell adds to it. */
function HowWorked({ result, work }: { result: Outcome; work: ComparisonWork }) {
  const { byReference } = useTexts();
  const mean = work.emf?.byTheBook ?? null;
  const ratio = work.outcome?.result?.value ?? null;
  const own = result.budget.find((row) => row.symbol === 'E_ref');
  const [mine, other] = result.quantity === 'E1' ? ['E_1', 'E_2'] : ['E_2', 'E_1'];
  const quotient = ratio === null ? null : result.quantity === 'E1' ? ratio : 1 / ratio;
  return (
    <p>
      <Say
        text={byReference.how}
        given={{
          mine: <Sym name={mine} />,
          other: <Sym name={other} />,
          quotient: fixed(quotient, 5),
          own:
            own === undefined ? (
              ''
            ) : (
              <Say text={byReference.own} given={{ volts: uncertaintyText(own.contribution) }} />
            ),
          book:
            mean === null
              ? ''
              : fill(byReference.book, { n: mean.n, volts: roundTogether(mean.mean, result.U).value }),
        }}
      />
    </p>
  );
}

function WireLines({ lines }: { lines: readonly WireLineView[] }) {
  const { byReference, set } = useTexts();
  return (
    <>
      <h3>{byReference.wire}</h3>
      <p>
        <Say text={byReference.wireLaw} />
      </p>
      <Table
        caption={byReference.wireCaption}
        columns={[
          { head: set },
          { head: <Say text="{I} / mA" /> },
          { head: <Say text="{g} / (mV/cm)" /> },
          { head: 'α / cm' },
          { head: byReference.atZero },
        ]}
        rows={lines.map((line) => [
          line.set,
          driverText(line.driverMa),
          <PlusMinus value={1000 * line.gradientVPerCm} uncertainty={1000 * line.uGradientVPerCm} />,
          <PlusMinus value={line.endCorrectionCm} uncertainty={line.uEndCorrectionCm} />,
          <PlusMinus value={1000 * line.interceptV} uncertainty={1000 * line.uInterceptV} />,
        ])}
      />
    </>
  );
}
