import { basename } from 'node:path';
import { isMainThread, parentPort, workerData } from 'node:worker_threads';
import { describeFaults, readBench } from '../bench/bench-file.ts';
import { loadFormulas } from '../calc-core/formulas.ts';
import type { Message } from '../calc-core/message.ts';
import type { Plan } from '../calc-core/plan.ts';
import { message } from '../messages/catalogue.ts';
import { aboutRun } from '../report/about.ts';
import { classGroups, measurandOf } from '../report/class-groups.ts';
import { classJson } from '../report/class-json.ts';
import { classCsv } from '../report/class-table.ts';
import { nullsTable, setsTable } from '../report/observations-csv.ts';
import { classPage, type ReportedClassRun } from '../report/page/class-page.tsx';
import { RECORD_PAGES } from '../report/page/record-page.tsx';
import { reportedRun } from '../report/read-run.ts';
import { reportJson } from '../report/report-json.ts';
import { withoutResults } from '../run/hidden-results.ts';
import type { RunView } from '../run/view.ts';
import { type MakeRun, runMaker } from '../session/make-run.ts';
import { runFromRecording } from '../session/run-from-recording.ts';
import type { Done, Job, OneAnswerJob, RecordingSummary, WholeView } from './background-jobs.ts';
import { planBench } from './plan-bench.ts';
import { playReplay } from './replay-worker.ts';
import type { Asked } from './routes.ts';

/** The entry of a worker: does one job of what is not live, beside the thread that listens to boards. */
if (!isMainThread && parentPort !== null) {
  const job: Job = workerData;
  const makeRun = await runMaker();
  if (job.kind === 'replay') await playReplay(job, makeRun, parentPort);
  else if (job.kind === 'plan') parentPort.postMessage(await plan(job.asked));
  else if (job.kind === 'summary') parentPort.postMessage(await summary(job.path, makeRun));
  else if (job.kind === 'class') parentPort.postMessage(await classReport(job, makeRun));
  else if (job.kind === 'whole') parentPort.postMessage(await whole(job, makeRun));
  else parentPort.postMessage(await record(job, makeRun));
}

type JobOf<Kind extends OneAnswerJob['kind']> = Extract<OneAnswerJob, { kind: Kind }>;

async function whole({ path, isTeacher }: JobOf<'whole'>, makeRun: MakeRun): Promise<Done<WholeView>> {
  const folded = await runFromRecording(path, makeRun);
  if (!folded.ok) return { ok: false, ...folded.fault };
  const view = viewFor(isTeacher, folded.run.view());
  const { about, bench, durationS, work, findings, stream } = view;
  const measurand = measuredIn(view);
  return { ok: true, value: { about, bench, durationS, work, findings, stream, measurand } };
}

/** What a page may see of a run. */
function viewFor(isTeacher: boolean, view: RunView): RunView {
  return isTeacher ? view : withoutResults(view);
}

function measuredIn(view: RunView): Message | null {
  const result = view.work.outcome?.result ?? null;
  return result && measurandOf(view, result);
}

async function summary(path: string, makeRun: MakeRun): Promise<Done<RecordingSummary>> {
  const folded = await runFromRecording(path, makeRun);
  if (!folded.ok) return { ok: false, ...folded.fault };
  const view = folded.run.view();
  const { by, startedUtc } = aboutRun(view);
  const result = view.work.outcome?.result ?? null;
  const { findings } = withoutResults(view);
  const count = (severity: string) => findings.filter((finding) => finding.severity === severity).length;
  return {
    ok: true,
    value: {
      by,
      startedUtc,
      bench: view.bench?.name ?? '',
      procedure: view.work.procedure,
      measurand: measuredIn(view),
      result: result && { value: result.value, U: result.U, unit: result.unit },
      resultsHidden: view.resultsHidden,
      stops: count('stop'),
      warnings: count('warn'),
    },
  };
}

/** What a class found: a table, or a page with the records of all runs. */
async function classReport(
  { paths, as, language, isTeacher }: JobOf<'class'>,
  makeRun: MakeRun,
): Promise<Done<string>> {
  const runs: ReportedClassRun[] = [];
  for (const path of paths) {
    const folded = await runFromRecording(path, makeRun);
    if (!folded.ok) return { ok: false, ...message('as-it-came', { words: folded.fault.text }) };
    const file = basename(path);
    // Before the check of the intervals, which takes its time.
    if (folded.run.view().resultsHidden && !isTeacher)
      return { ok: false, ...message('results-hidden-in', { file }) };
    runs.push({ ...reportedRun(folded.run, folded.fingerprint), file });
  }
  if (as === 'print') return { ok: true, value: classPage(runs, language) };
  const groups = classGroups(runs);
  return { ok: true, value: as === 'csv' ? classCsv(runs, groups) : classJson(groups) };
}

/** The record of a run as the command line gives it: a page for printing, JSON, or tables. */
async function record(
  { path, as, language, isTeacher }: JobOf<'export'>,
  makeRun: MakeRun,
): Promise<Done<string>> {
  const folded = await runFromRecording(path, makeRun);
  if (!folded.ok) return { ok: false, ...folded.fault };
  const view = viewFor(isTeacher, folded.run.view());
  if (as === 'sets' || as === 'nulls')
    return { ok: true, value: (as === 'sets' ? setsTable : nullsTable)(view).csv };
  if (view.resultsHidden && !isTeacher && as !== 'sheet') return { ok: false, ...message('results-hidden') };
  const run = reportedRun(folded.run, folded.fingerprint);
  if (as === 'json') return { ok: true, value: `${JSON.stringify(reportJson(run), null, 2)}\n` };
  return { ok: true, value: RECORD_PAGES[as](run, language) };
}

async function plan({ bench, ...wishes }: Asked<'plan'>): Promise<Done<Plan>> {
  const reading = readBench(bench);
  if (!reading.ok) return { ok: false, ...describeFaults(reading.faults) };
  const planned = planBench(reading.bench, wishes, await loadFormulas());
  return planned.ok ? { ok: true, value: planned.plan } : planned;
}
