import type { MakeReport } from '../../bridge/bench-setup/export-run.ts';
import { recordPage } from '../../bridge/report/page/record-page.tsx';
import { readRun } from '../../bridge/report/read-run.ts';
import { reportJson } from '../../bridge/report/report-json.ts';
import { foldMaker } from '../../bridge/session/make-fold.ts';

/** Reports made in the test's own process: the built program need not be there. */
export const reportHere: MakeReport = async (path, kind) => {
  const reading = await readRun(path, await foldMaker());
  if (!reading.ok) return reading;
  const { run } = reading;
  return {
    ok: true,
    text: kind === 'json' ? JSON.stringify(reportJson(run.view)) : recordPage(run),
  };
};
