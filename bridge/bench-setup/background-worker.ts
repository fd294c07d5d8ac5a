import { isMainThread, parentPort, workerData } from 'node:worker_threads';
import { describeFaults, readBench } from '../bench/bench-file.ts';
import { loadFormulas } from '../calc-core/formulas.ts';
import type { Plan } from '../calc-core/plan.ts';
import { message } from '../messages/catalogue.ts';
import { nullsTable, setsTable } from '../report/observations-csv.ts';
import { recordPage } from '../report/page/record-page.tsx';
import { readRun } from '../report/read-run.ts';
import { reportJson } from '../report/report-json.ts';
import { type MakeRun, runMaker } from '../session/make-run.ts';
import { runFromRecording } from '../session/run-from-recording.ts';
import type { Done, ExportKind, Job, WholeView } from './background-jobs.ts';
import { planBench } from './plan-bench.ts';
import { playReplay } from './replay-worker.ts';
import type { Asked } from './routes.ts';

/** The entry of a worker: does one job of what is not live, beside the thread that listens to boards. */
if (!isMainThread && parentPort !== null) {
  const job: Job = workerData;
  const makeRun = await runMaker();
  if (job.kind === 'replay') await playReplay(job, makeRun, parentPort);
  else if (job.kind === 'plan') parentPort.postMessage(await plan(job.asked));
  else if (job.kind === 'whole') parentPort.postMessage(await whole(job.path, makeRun));
  else parentPort.postMessage(await record(job.path, job.as, makeRun));
}

async function whole(path: string, makeRun: MakeRun): Promise<Done<WholeView>> {
  const folded = await runFromRecording(path, makeRun);
  if (!folded.ok) return { ok: false, ...folded.fault };
  const { about, bench, durationS, work, findings, stream } = folded.run.view();
  return { ok: true, value: { about, bench, durationS, work, findings, stream } };
}

/** The record of a run as the command line gives it: a page for printing, JSON, or tables. */
async function record(path: string, as: ExportKind, makeRun: MakeRun): Promise<Done<string>> {
  if (as === 'sets' || as === 'nulls') {
    const folded = await runFromRecording(path, makeRun);
    if (!folded.ok) return { ok: false, ...folded.fault };
    const table = as === 'sets' ? setsTable : nullsTable;
    return { ok: true, value: table(folded.run.view()).csv };
  }
  const reading = await readRun(path, makeRun);
  if (!reading.ok) return { ok: false, ...message('as-it-came', { words: reading.text }) };
  const { run } = reading;
  const value = as === 'page' ? recordPage(run) : `${JSON.stringify(reportJson(run), null, 2)}\n`;
  return { ok: true, value };
}

async function plan({ bench, ...wishes }: Asked<'plan'>): Promise<Done<Plan>> {
  const reading = readBench(bench);
  if (!reading.ok) return { ok: false, ...describeFaults(reading.faults) };
  const planned = planBench(reading.bench, wishes, await loadFormulas());
  return planned.ok ? { ok: true, value: planned.plan } : planned;
}
