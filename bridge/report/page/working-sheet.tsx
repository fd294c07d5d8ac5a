import { fixed } from '../../calc-core/rounding.ts';
import { setRows } from '../../run/set-rows.ts';
import type { RunView } from '../../run/view.ts';
import type { ReportedRun } from '../read-run.ts';
import { type Column, Section, Sym, Table } from './figures.tsx';
import { Foot } from './foot.tsx';
import { Aim, Head } from './head.tsx';

/** The readings of a run with empty columns for what follows from them; the result is not on it. */
export function WorkingSheet({ run }: { run: ReportedRun }) {
  const { view } = run;
  return (
    <>
      <Head view={view} />
      <Aim view={view} />
      <Section title="Readings, and what follows from them">
        {view.work.sets.length === 0 ? <p>No set of observations is complete.</p> : <Readings view={view} />}
      </Section>
      <Section title="To be worked out">
        <div class="blanks">
          {BLANKS.map((name) => (
            <p>{name}</p>
          ))}
        </div>
      </Section>
      <Foot run={run} />
    </>
  );
}

const BLANKS = [
  'Mean:',
  'Standard deviation s of a single value:',
  'Standard deviation of the mean, s/√n:',
  'Result with its uncertainty:',
  'Sources of error, the largest first:',
];

function Readings({ view: { work, bench } }: { view: RunView }) {
  const correction = bench?.ammeter?.zeroCorrectionMa ?? 0;
  const isRatio = work.procedure === 'emf-comparison';
  const length = (name: string): Column => ({
    head: (
      <>
        <Sym name={name} /> / cm
      </>
    ),
  });
  return (
    <Table
      caption={`Lengths from A, each the weighted mean of its nulls. Zero correction of the ammeter: ${fixed(correction, 2)} mA, to be added.`}
      columns={[
        { head: 'no.' },
        { head: 'ammeter reading / mA' },
        { head: 'corrected / mA' },
        ...(isRatio ? [] : [{ head: 'R / Ω' }]),
        length(isRatio ? 'l_1' : 'l_0'),
        length(isRatio ? 'l_2' : 'l'),
        {
          head: isRatio ? (
            <>
              <Sym name="l_1" />/<Sym name="l_2" />
            </>
          ) : (
            <>
              <i>R</i>(<Sym name="l_0" />/<Sym name="l" /> − 1) / Ω
            </>
          ),
        },
        { head: 'off the mean' },
      ]}
      rows={setRows(work).map(({ set, driverMa, loadOhm, lengths: [first, second] }) => [
        set,
        fixed(Number(driverMa) - correction, 2),
        '',
        ...(loadOhm === null ? [] : [loadOhm]),
        first.value,
        second.value,
        '',
        '',
      ])}
    />
  );
}
