import type { Fingerprint, RecordingFault, RecordingReader } from '../recording/read.ts';
import { openRecording } from '../recording/read.ts';
import type { RecordLine } from '../recording/record.ts';
import type { Run } from '../run/run.ts';
import type { TellReading } from '../run/run-state-builder.ts';
import { inSlices } from './in-slices.ts';
import type { MakeRun } from './make-run.ts';

export type { Fingerprint, RecordLine };

/** Told how much of the work is done, from 0 to 1. */
export type Progress = (share: number) => void;

export interface ReadOptions {
  progress?: Progress;
  /** What stands beyond is left out. */
  upToBytes?: number;
  tellReading?: TellReading;
}

type Result<Value> = ({ ok: true } & Value) | { ok: false; fault: RecordingFault };

const TELL_EVERY = 4096;

/** Runs through a recording, or its first bytes, a slice at a time. */
async function readThrough(
  path: string,
  take: (record: RecordLine | 'unreadable') => void,
  progress: Progress = () => {},
  upToBytes?: number,
): Promise<Result<{ torn: boolean; fingerprint: Fingerprint }>> {
  const opened = openRecording(path, path, upToBytes);
  if (!opened.ok) return opened;
  const { reader } = opened;
  let count = 0;
  await inSlices(reader.records, (record) => {
    take(record);
    count += 1;
    if (count % TELL_EVERY === 0) progress(shareOf(reader));
  });
  reader.close();
  return { ok: true, torn: reader.progress.torn, fingerprint: reader.fingerprint() };
}

const shareOf = (reader: RecordingReader): number =>
  reader.totalBytes === 0 ? 1 : reader.progress.bytes / reader.totalBytes;

/** What one quick pass over a recording tells. */
export interface Survey {
  /** The `!` records: what a run has to know beforehand, for one may take back another. */
  events: RecordLine[];
  /** Host ms of the last record; 0 where there is none. */
  lastMs: number;
  /** Of what was there to be read. */
  fingerprint: Fingerprint;
}

export async function surveyRecording(
  path: string,
  progress?: Progress,
  upToBytes?: number,
): Promise<Result<Survey>> {
  const survey: Omit<Survey, 'fingerprint'> = { events: [], lastMs: 0 };
  const read = await readThrough(
    path,
    (record) => {
      if (record === 'unreadable') return;
      survey.lastMs = Math.max(survey.lastMs, record.ms);
      if (record.mark === '!') survey.events.push(record);
    },
    progress,
    upToBytes,
  );
  return read.ok ? { ok: true, ...survey, fingerprint: read.fingerprint } : read;
}

export interface RunSoFar extends Survey {
  run: Run;
  /** The file ends in the middle of a line, which is left out. */
  torn: boolean;
}

/** The run of a recording that may go on: nobody has said that it ends here. */
export async function runSoFar(
  path: string,
  makeRun: MakeRun,
  { progress = () => {}, upToBytes, tellReading }: ReadOptions = {},
): Promise<Result<RunSoFar>> {
  const survey = await surveyRecording(path, (share) => progress(0.2 * share), upToBytes);
  if (!survey.ok) return survey;
  const run = makeRun(survey.events);
  const read = await readThrough(
    path,
    (record) => run.addRecord(record, tellReading),
    (share) => progress(0.2 + 0.8 * share),
    // A run that goes on may have written more meanwhile, events of which the first pass knows nothing among it.
    survey.fingerprint.bytes,
  );
  return read.ok ? { ...survey, run, torn: read.torn } : read;
}

/** The whole run of a recording, or of its first bytes: what a report is made of. */
export async function runFromRecording(
  path: string,
  makeRun: MakeRun,
  options: ReadOptions = {},
): Promise<Result<{ run: Run; fingerprint: Fingerprint }>> {
  const read = await runSoFar(path, makeRun, options);
  if (!read.ok) return read;
  read.run.end(read.torn);
  return { ok: true, run: read.run, fingerprint: read.fingerprint };
}
