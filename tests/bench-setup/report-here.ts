import type { MakeReport } from '../../bridge/bench-setup/export-run.ts';
import { recordPage } from '../../bridge/report/page/record-page.tsx';
import { readRun } from '../../bridge/report/read-run.ts';
import { reportJson } from '../../bridge/report/report-json.ts';
import { runMaker } from '../../bridge/session/make-run.ts';

/** Reports made in the test's own process: the built program need not be there. */
export const reportHere: MakeReport = async (path, kind) => {
  const reading = await readRun(path, await runMaker());
  if (!reading.ok) return reading;
  const { run } = reading;
  return {
    ok: true,
    text: kind === 'json' ? JSON.stringify(reportJson(run.view)) : recordPage(run),
  };
};
