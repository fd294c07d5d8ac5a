import { Buffer } from 'node:buffer';
import { createHash } from 'node:crypto';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { splitRecords } from '../../bridge/recording/split.ts';
import type { Run } from '../../bridge/run/run.ts';
import type { RunView } from '../../bridge/run/view.ts';
import type { MakeRun } from '../../bridge/session/make-run.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import type { Fingerprint } from '../../bridge/session/run-from-recording.ts';

/** Recordings as text through the program's own reader and fold. */

const make: MakeRun = await runMaker();

/** The records of a recording's bytes one after the other. */
export const recordsIn = (bytes: Buffer, progress = { bytes: 0, torn: false }) =>
  splitRecords((buffer, position) => bytes.copy(buffer, 0, position), progress);

/** Every record of a recording's bytes, and whether its last line is torn. */
export function recordsOf(text: string): { records: (RecordLine | 'unreadable')[]; torn: boolean } {
  const progress = { bytes: 0, torn: false };
  const records = [...recordsIn(Buffer.from(text, 'utf8'), progress)];
  return { records, torn: progress.torn };
}

export function newFold(records: readonly (RecordLine | 'unreadable')[]): Run {
  const events = records.filter((record) => record !== 'unreadable').filter(({ mark }) => mark === '!');
  return make(events);
}

export function foldText(text: string): Run {
  const { records, torn } = recordsOf(text);
  const fold = newFold(records);
  for (const record of records) fold.addRecord(record);
  if (torn) fold.end(true);
  return fold;
}

export const fingerprintOf = (text: string): Fingerprint => ({
  bytes: Buffer.byteLength(text),
  sha256: createHash('sha256').update(text).digest('hex'),
});

export const viewOf = (text: string): RunView => foldText(text).view();

export const codes = (view: RunView): string[] => view.findings.map(({ code }) => code);
