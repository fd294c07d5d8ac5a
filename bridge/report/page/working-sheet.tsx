import { fixed } from '../../calc-core/rounding.ts';
import { setRows } from '../../run/set-rows.ts';
import type { RunView } from '../../run/view.ts';
import type { ReportedRun } from '../read-run.ts';
import { type Column, Section, Sym, Table } from './figures.tsx';
import { Foot } from './foot.tsx';
import { Aim, Head } from './head.tsx';
import { useTexts } from './language.tsx';
import { fill } from './say.tsx';

/** The readings of a run with empty columns for what follows from them; the result is not on it. */
export function WorkingSheet({ run }: { run: ReportedRun }) {
  const { observations, sheet } = useTexts();
  const { view } = run;
  return (
    <>
      <Head view={view} />
      <Aim view={view} />
      <Section title={sheet.readings}>
        {view.work.sets.length === 0 ? <p>{observations.noSet}</p> : <Readings view={view} />}
      </Section>
      <Section title={sheet.toWorkOut}>
        <div class="blanks">
          {sheet.blanks.map((name) => (
            <p>{name}</p>
          ))}
        </div>
      </Section>
      <Foot run={run} />
    </>
  );
}

function Readings({ view: { work, bench } }: { view: RunView }) {
  const { observations, sheet } = useTexts();
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
      caption={fill(sheet.caption, { mA: fixed(correction, 2) })}
      columns={[
        { head: observations.number },
        { head: sheet.ammeter },
        { head: sheet.corrected },
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
        { head: sheet.offMean },
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
