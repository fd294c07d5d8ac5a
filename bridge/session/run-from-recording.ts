import { createHash } from 'node:crypto';
import type { ReadBounds, RecordingFault, RecordingReader } from '../recording/read.ts';
import { openRecording } from '../recording/read.ts';
import type { RecordLine } from '../recording/record.ts';
import type { Run } from '../run/run.ts';
import type { TellReading } from '../run/run-state-builder.ts';
import { inSlices } from './in-slices.ts';
import type { MakeRun } from './make-run.ts';

export type { RecordLine };

/** The first bytes of a recording, told from all others by their SHA-256 (FIPS 180-4), in lower-case hexadecimal. */
export interface Fingerprint {
  bytes: number;
  sha256: string;
}

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
  bounds?: ReadBounds,
): Promise<Result<{ torn: boolean; bytes: number }>> {
  const opened = openRecording(path, path, bounds);
  if (!opened.ok) return opened;
  const { reader } = opened;
  let count = 0;
  await inSlices(reader.records, (record) => {
    take(record);
    count += 1;
    if (count % TELL_EVERY === 0) progress(shareOf(reader));
  });
  reader.close();
  return { ok: true, ...reader.progress };
}

const shareOf = (reader: RecordingReader): number =>
  reader.totalBytes === 0 ? 1 : reader.progress.bytes / reader.totalBytes;

/** What one quick pass over a recording tells. */
export interface Survey {
  /** The `!` records: what a run has to know beforehand, for one may take back another. */
  events: RecordLine[];
  /** Host ms of the last record; 0 where there is none. */
  lastMs: number;
  /** How many were there to be read. */
  bytes: number;
}

export async function surveyRecording(
  path: string,
  progress?: Progress,
  upToBytes?: number,
): Promise<Result<Survey>> {
  const survey: Omit<Survey, 'bytes'> = { events: [], lastMs: 0 };
  const read = await readThrough(
    path,
    (record) => {
      if (record === 'unreadable') return;
      survey.lastMs = Math.max(survey.lastMs, record.ms);
      if (record.mark === '!') survey.events.push(record);
    },
    progress,
    { upToBytes },
  );
  return read.ok ? { ok: true, ...survey, bytes: read.bytes } : read;
}

export interface RunSoFar extends Survey {
  run: Run;
  /** The file ends in the middle of a line, which is left out. */
  torn: boolean;
  fingerprint: Fingerprint;
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
  const hash = createHash('sha256');
  const read = await readThrough(
    path,
    (record) => run.addRecord(record, tellReading),
    (share) => progress(0.2 + 0.8 * share),
    // A run that goes on may have written more meanwhile, events of which the first pass knows nothing among it.
    { upToBytes: survey.bytes, hash },
  );
  if (!read.ok) return read;
  const fingerprint = { bytes: read.bytes, sha256: hash.digest('hex') };
  return { ...survey, run, torn: read.torn, fingerprint };
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
