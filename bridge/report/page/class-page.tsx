import { median } from '../../calc-core/median.ts';
import { fixed, resultText, withSign } from '../../calc-core/rounding.ts';
import { aboutRun } from '../about.ts';
import { type ClassGroup, type ClassResult, type ClassRun, classGroups } from '../class-groups.ts';
import { groupTexts } from '../group-texts.ts';
import type { ReportedRun } from '../read-run.ts';
import { type Column, Section, Table } from './figures.tsx';
import { htmlPage } from './html-page.tsx';
import { Plot, Point } from './plot.tsx';
import { Record } from './record-page.tsx';

/** What a class found, and the records of all its runs behind it: one print. */

export interface ReportedClassRun extends ReportedRun {
  /** The recording's name. */
  file: string;
}

/** The record of each run begins a page of its own. */
export function classPage(runs: readonly ReportedClassRun[]): string {
  const groups = classGroups(runs);
  const results = groups.flatMap((group) => group.results);
  const without = runs.filter((run) => !results.some((one) => one.run === run));
  return htmlPage(
    `What a class found: ${runs.length} ${runs.length === 1 ? 'recording' : 'recordings'}`,
    <>
      <main>
        <h1>What the class found</h1>
        {groups.map((group) => (
          <Group group={group} />
        ))}
        {without.length === 0 ? null : <WithoutResult runs={without} />}
      </main>
      {runs.map((run) => (
        <article>
          <Record run={run} />
        </article>
      ))}
    </>,
  );
}

const COLUMNS: readonly Column[] = [
  { head: 'no.' },
  { head: 'done by', words: true },
  { head: 'bench', words: true },
  { head: 'begun', words: true },
  { head: 'result ± U' },
  { head: 'off the others / U' },
  { head: 'findings', words: true },
  { head: 'recording', words: true },
];

function Group({ group }: { group: ClassGroup }) {
  const [value, ...more] = groupTexts(group);
  return (
    <Section title={group.measurand}>
      <p>
        <b>{value}.</b> {more.map((text) => `${capital(text)}. `)}
      </p>
      {group.results.length < 2 ? null : <ResultsPlot group={group} />}
      <Table
        caption="Each run. Off the others: how far its result lies from the value of the class without it, in its own U."
        columns={[...COLUMNS]}
        rows={group.results.map(rowOf)}
      />
    </Section>
  );
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

function rowOf({ run, result, others, copyOf }: ClassResult, index: number) {
  const { by, startedUtc } = aboutRun(run.view);
  return [
    String(index + 1),
    by,
    run.view.bench?.name ?? '',
    startedUtc.slice(0, 16).replace('T', ' '),
    resultText(result),
    copyOf !== null ? `copy of ${copyOf}` : others === null ? '' : withSign(others.offPerU, 1),
    lookedInto(run),
    run.file,
  ];
}

/** What calls for a look: notes do not. */
const lookedInto = ({ view }: ClassRun): string =>
  [...new Set(view.findings.filter(({ severity }) => severity !== 'note').map(({ code }) => code))].join(
    ', ',
  );

/** The results with U, and the value of the class across. */
function ResultsPlot({ group: { results, centre, quantity, unit } }: { group: ClassGroup }) {
  // One run without a sound interval must not press all others together.
  const most = 4 * median(results.map(({ result }) => result.U));
  const bars = results.map(({ result: { value, U } }) => ({ value, shownU: Math.min(U, most) }));
  return (
    <Plot
      title="Results of the class with their U"
      xTitle="runs, by their number in the table"
      yTitle={unit === '1' ? quantity : `${quantity} / ${unit}`}
      xs={[0.5, results.length + 0.5]}
      ys={bars.flatMap(({ value, shownU }) => [value - shownU, value + shownU])}
      width={640}
      height={200}
      ticks={{ x: 0, y: 5 }}
      draw={(scale, frame) => (
        <>
          <path class="null" d={`M${frame.left} ${scale.y(centre.value)}H${frame.right}`} />
          {bars.map(({ value, shownU }, index) => (
            <Point x={index + 1} y={value} uy={shownU} scale={scale} name={String(index + 1)} />
          ))}
        </>
      )}
    />
  );
}

function WithoutResult({ runs }: { runs: readonly ReportedClassRun[] }) {
  return (
    <Section title="Runs without a result">
      <Table
        caption="What stands in the way is in each run's record."
        columns={[COLUMNS[1], COLUMNS[2], { head: 'nulls used' }, COLUMNS[6], COLUMNS[7]]}
        rows={runs.map((run) => [
          aboutRun(run.view).by,
          run.view.bench?.name ?? '',
          fixed(run.view.nulls.filter(({ used }) => used).length, 0),
          lookedInto(run),
          run.file,
        ])}
      />
    </Section>
  );
}
