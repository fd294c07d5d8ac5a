import type { Bench } from '../../bench/bench-file.ts';
import type { Outcome } from '../../calc-core/outcome.ts';
import { fixed, roundTogether, uncertaintyText } from '../../calc-core/rounding.ts';
import { driverText } from '../../run/set-rows.ts';
import type { ComparisonWork, ReferenceCellView, RunView, WireLineView } from '../../run/view.ts';
import { compareWithNominal } from '../nominal.ts';
import { Check } from './check.tsx';
import { PlusMinus, Section, Sym, Table } from './figures.tsx';
import { Nominal } from './nominal.tsx';
import { Meaning, Statement } from './statement.tsx';

/** What a cell of known EMF adds: the other cell's EMF, and the wire as a measure of voltage. Nothing without one. */
export function ByReference({ view, bench }: { view: RunView; bench: Bench | null }) {
  const { work } = view;
  if (bench === null || view.referenceCells.length === 0 || work.procedure !== 'emf-comparison') return null;
  const result = work.emf?.result ?? null;
  const check = work.emf?.check ?? null;
  const nominal = result === null ? null : compareWithNominal(bench, view.referenceCells, result);
  return (
    <Section title="EMF by the reference cell">
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
  const { cell, emfV, uEmfV, weston, trouble } = reference;
  if (emfV === null || uEmfV === null)
    return (
      <p>
        The EMF of reference cell {cell} is not known: {trouble?.text}
      </p>
    );
  const how =
    weston === null ? null : (
      <>
        , from {weston.emf20V} V at 20 °C brought to {weston.temperatureC} °C ({weston.source})
      </>
    );
  return (
    <p>
      Reference cell {cell}: <Sym name="E_ref" /> = <PlusMinus value={emfV} uncertainty={uEmfV} unit="V" />{' '}
      (standard uncertainty){how}.
    </p>
  );
}

/** The ratio is worked out above; here stands what the reference cell adds to it. */
function HowWorked({ result, work }: { result: Outcome; work: ComparisonWork }) {
  const mean = work.emf?.byTheBook ?? null;
  const ratio = work.outcome?.result?.value ?? null;
  const own = result.budget.find((row) => row.symbol === 'E_ref');
  const [mine, other] = result.quantity === 'E1' ? ['E_1', 'E_2'] : ['E_2', 'E_1'];
  const quotient = ratio === null ? null : result.quantity === 'E1' ? ratio : 1 / ratio;
  return (
    <p>
      <Sym name={mine} /> = <Sym name="E_ref" />·<Sym name={mine} />/<Sym name={other} />, with{' '}
      <Sym name={mine} />/<Sym name={other} /> = {fixed(quotient, 5)} from the calculation above.
      {own === undefined ? null : (
        <>
          {' '}
          The reference cell’s own uncertainty contributes {uncertaintyText(own.contribution)} V, the
          comparison the rest of <i>u</i>.
        </>
      )}
      {mean === null ? null : (
        <>
          {' '}
          By the book, from the plain mean of {mean.n}, end correction left out:{' '}
          {roundTogether(mean.mean, result.U).value} V.
        </>
      )}
    </p>
  );
}

function WireLines({ lines }: { lines: readonly WireLineView[] }) {
  return (
    <>
      <h3>The wire as a measure of voltage</h3>
      <p>
        At the driver current of a set a length <i>l</i> from A stands for the voltage <i>V</i> = <i>g</i>(
        <i>l</i> + α). The line goes through the end correction, where the voltage is zero, and the null of
        the reference cell.
      </p>
      <Table
        caption="Voltage along the wire, with standard uncertainties."
        columns={[
          { head: 'set' },
          {
            head: (
              <>
                <i>I</i> / mA
              </>
            ),
          },
          {
            head: (
              <>
                <i>g</i> / (mV/cm)
              </>
            ),
          },
          { head: 'α / cm' },
          { head: 'V at l = 0, in mV' },
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
