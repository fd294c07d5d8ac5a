import { fileURLToPath } from 'node:url';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import { readRun, reportedRun } from '../../bridge/report/read-run.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { fingerprintOf } from '../independent-recordings/fold-text.ts';

/** Runs for the tests of the report: fixtures, simulated ones, and any list of records. */

const makeRun = await runMaker();

const fixturePath = (name: string): string =>
  fileURLToPath(new URL(`../../fixtures/${name}`, import.meta.url));

export async function fixtureRun(name: string): Promise<ReportedRun> {
  const reading = await readRun(fixturePath(name), makeRun);
  if (!reading.ok) throw new Error(reading.text);
  return reading.run;
}

export function runOf(records: readonly RecordLine[]): ReportedRun {
  const fold = makeRun(records.filter((record) => record.mark === '!'));
  for (const record of records) fold.addRecord(record);
  return reportedRun(fold, fingerprintOf([RECORDING_HEADER, ...records.map(formatRecord)].join('\n')));
}

/** A run that consists of words alone: nothing was sampled. */
export const runOfEvents = (events: readonly object[]): ReportedRun =>
  runOf(events.map((event, index) => ({ ms: index, mark: '!', payload: JSON.stringify(event) })));

/** A length read by eye, by half a millimetre. */
export const eye = (cell: number, set: number, row: number, scaleCm: number) => ({
  kind: 'length',
  cell,
  set,
  row,
  scaleCm,
  uCm: 0.05,
});
