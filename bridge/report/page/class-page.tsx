import { median } from '../../calc-core/median.ts';
import { fixed, resultText, withSign } from '../../calc-core/rounding.ts';
import type { Language } from '../../messages/language.ts';
import { aboutRun } from '../about.ts';
import { type ClassGroup, type ClassResult, type ClassRun, classGroups } from '../class-groups.ts';
import { groupTexts } from '../group-texts.ts';
import type { ReportedRun } from '../read-run.ts';
import { Section, Table } from './figures.tsx';
import { htmlPage } from './html-page.tsx';
import { RECORD_TEXTS, useTexts } from './language.tsx';
import { Plot, Point } from './plot.tsx';
import { Record } from './record-page.tsx';
import { fill } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';

/** What a class found, and the records of all its runs behind it: one print. */

export interface ReportedClassRun extends ReportedRun {
  /** The recording's name. */
  file: string;
}

/** The record of each run begins a page of its own. */
export function classPage(runs: readonly ReportedClassRun[], language: Language = 'en'): string {
  const { title, heading } = RECORD_TEXTS[language].classFound;
  const groups = classGroups(runs);
  const results = groups.flatMap((group) => group.results);
  const without = runs.filter((run) => !results.some((one) => one.run === run));
  return htmlPage(
    language,
    runs.length === 1 ? title.one : fill(title.more, { count: runs.length }),
    <>
      <main>
        <h1>{heading}</h1>
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

const columnsOf = ({ classFound, head }: RecordTexts) => ({
  number: { head: classFound.number },
  by: { head: head.by, words: true },
  bench: { head: head.bench, words: true },
  begun: { head: classFound.begun, words: true },
  result: { head: classFound.resultU },
  off: { head: classFound.off },
  findings: { head: classFound.findings, words: true },
  recording: { head: classFound.recording, words: true },
});

function Group({ group }: { group: ClassGroup }) {
  const texts = useTexts();
  const [value, ...more] = groupTexts(group).map(texts.localise);
  return (
    <Section title={texts.localise(group.measurand)}>
      <p>
        <b>{value}.</b> {more.map((text) => `${capital(text)}. `)}
      </p>
      {group.results.length < 2 ? null : <ResultsPlot group={group} />}
      <Table
        caption={texts.classFound.caption}
        columns={Object.values(columnsOf(texts))}
        rows={group.results.map((result, index) => rowOf(texts, result, index))}
      />
    </Section>
  );
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

function rowOf({ classFound }: RecordTexts, { run, result, others, copyOf }: ClassResult, index: number) {
  const { by, startedUtc } = aboutRun(run.view);
  return [
    String(index + 1),
    by,
    run.view.bench?.name ?? '',
    startedUtc.slice(0, 16).replace('T', ' '),
    resultText(result),
    copyOf !== null
      ? fill(classFound.copyOf, { file: copyOf })
      : others === null
        ? ''
        : withSign(others.offPerU, 1),
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
  const { classFound } = useTexts();
  // One run without a sound interval must not press all others together.
  const most = 4 * median(results.map(({ result }) => result.U));
  const bars = results.map(({ result: { value, U } }) => ({ value, shownU: Math.min(U, most) }));
  return (
    <Plot
      title={classFound.plot}
      xTitle={classFound.runs}
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
  const texts = useTexts();
  const { by, bench, findings, recording } = columnsOf(texts);
  return (
    <Section title={texts.classFound.without}>
      <Table
        caption={texts.classFound.withoutCaption}
        columns={[by, bench, { head: texts.classFound.nullsUsed }, findings, recording]}
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
