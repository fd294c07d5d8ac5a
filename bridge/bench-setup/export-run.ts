import { basename } from 'node:path';
import type { Refused } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { nullsTable, setsTable } from '../report/observations-csv.ts';
import type { MakeRun } from '../session/make-run.ts';
import { runFromRecording } from '../session/run-from-recording.ts';

export type ExportKind = 'page' | 'json' | 'sets' | 'nulls';

export type Exported = { ok: true; text: string; type: string; name: string } | Refused;

/**
 * Makes the record of a run, as a page or as JSON. It works out a Monte Carlo check, which keeps a processor busy: not in
 * the process that listens to a board. `ending`: the bridge ends, and nobody waits for it any more.
 */
export type MakeReport = (
  path: string,
  kind: 'page' | 'json',
  ending: AbortSignal,
) => Promise<{ ok: boolean; text: string }>;

/** Files are named after their recording, as the command line names them: those of two runs must not be mixed up. */
const KINDS = {
  page: { type: 'text/html', suffix: '.html' },
  json: { type: 'application/json', suffix: '.json' },
  sets: { type: 'text/csv', suffix: '-sets.csv' },
  nulls: { type: 'text/csv', suffix: '-nulls.csv' },
};

/** The record of a run as the command line gives it, for the page: a page for printing, JSON, or tables. */
export async function exportRun(
  path: string,
  kind: ExportKind,
  makeRun: MakeRun,
  makeReport: MakeReport,
  ending: AbortSignal,
): Promise<Exported> {
  const made =
    kind === 'page' || kind === 'json'
      ? await makeReport(path, kind, ending)
      : await tableOf(path, kind, makeRun);
  const { type, suffix } = KINDS[kind];
  return made.ok
    ? { ok: true, text: made.text, type, name: `${basename(path, '.rec')}${suffix}` }
    : { ok: false, ...message('as-it-came', { words: made.text }) };
}

async function tableOf(path: string, kind: 'sets' | 'nulls', makeRun: MakeRun) {
  const folded = await runFromRecording(path, makeRun);
  if (!folded.ok) return { ok: false, text: folded.fault.text };
  const view = folded.run.view();
  return { ok: true, text: (kind === 'sets' ? setsTable(view) : nullsTable(view)).csv };
}
