import type { RecordingFault, RecordingReader } from '../recording/read.ts';
import { openRecording } from '../recording/read.ts';
import type { RecordLine } from '../recording/record.ts';
import type { FoldLike, MakeFold } from './fold-like.ts';
import { inSlices } from './in-slices.ts';

/** Told how much of the work is done, from 0 to 1. */
export type Progress = (share: number) => void;

type Result<Value> = ({ ok: true } & Value) | { ok: false; fault: RecordingFault };

const TELL_EVERY = 4096;

/** Runs through a whole recording, a slice at a time. */
async function readThrough(
  path: string,
  take: (record: RecordLine | 'unreadable') => void,
  progress: Progress,
): Promise<Result<{ torn: boolean }>> {
  const opened = openRecording(path);
  if (!opened.ok) return opened;
  const { reader } = opened;
  let count = 0;
  await inSlices(reader.records, (record) => {
    take(record);
    count += 1;
    if (count % TELL_EVERY === 0) progress(shareOf(reader));
  });
  reader.close();
  return { ok: true, torn: reader.progress.torn };
}

const shareOf = (reader: RecordingReader): number =>
  reader.totalBytes === 0 ? 1 : reader.progress.bytes / reader.totalBytes;

/** The `!` records of a recording: what a fold has to know beforehand, for one may take back another. */
export async function readEvents(
  path: string,
  progress: Progress = () => {},
): Promise<Result<{ events: RecordLine[] }>> {
  const events: RecordLine[] = [];
  const read = await readThrough(
    path,
    (record) => {
      if (record !== 'unreadable' && record.mark === '!') events.push(record);
    },
    progress,
  );
  return read.ok ? { ok: true, events } : read;
}

/** Folds a whole recording: what a report is made of. */
export async function foldRecording(
  path: string,
  makeFold: MakeFold,
  progress: Progress = () => {},
): Promise<Result<{ fold: FoldLike; torn: boolean }>> {
  const events = await readEvents(path, (share) => progress(0.2 * share));
  if (!events.ok) return events;
  const fold = makeFold(events.events);
  const read = await readThrough(
    path,
    (record) => fold.accept(record),
    (share) => progress(0.2 + 0.8 * share),
  );
  return read.ok ? { ok: true, fold, torn: read.torn } : read;
}
