import { closeSync, unlinkSync } from 'node:fs';
import { basename } from 'node:path';
import type { Refused } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { hostClock, resumedMs } from '../recording/host-clock.ts';
import type { OpenFile } from '../recording/open.ts';
import { createBeside, createRecording, resumeRecording } from '../recording/open.ts';
import { RecordingWriter } from '../recording/write.ts';
import { fitsRecording } from '../run/event-size.ts';
import type { RunEvent } from '../run/events.ts';
import { readEvent } from '../run/events.ts';
import type { LineSource, Pace } from '../serial/line-source.ts';
import type { MakeRun } from './make-run.ts';
import type { RunSoFar } from './run-from-recording.ts';
import { runSoFar } from './run-from-recording.ts';
import { RunSession } from './run-session.ts';
import type { BenchHand, SessionKind } from './session.ts';

export interface SessionPlan {
  /** Null: the session is named after its recording. */
  id: string | null;
  title: string;
  kind: SessionKind;
  source: LineSource & Partial<Pace>;
  /** Where the recording goes. */
  path: string;
  /**
   * `create`: no file may be at `path` yet. `create-beside`: nobody chose that name, and where it is taken another one does.
   * `resume`: go on in the file at `path`.
   */
  begin: 'create' | 'create-beside' | 'resume';
  /** What the recording says before the first line of the board. */
  opening: RunEvent[];
  makeRun: MakeRun;
  /** The hand of a simulated bench that is worked from the page. */
  hand?: BenchHand;
}

const OPEN = { create: createRecording, 'create-beside': createBeside, resume: resumeRecording };

type Opened = { ok: true; session: RunSession } | (Refused & { code: string });

/** Opens the recording, then the source, and starts the session. Leaves no empty recording behind if the source fails. */
export async function openSession(plan: SessionPlan): Promise<Opened> {
  if (!plan.opening.every(fitsRecording))
    return { ok: false, code: 'bench-too-big', ...message('bench-too-big') };
  const resume = plan.begin === 'resume';
  const file = OPEN[plan.begin](plan.path);
  if (!file.ok) return { ok: false, ...file.fault };
  // After a torn last line has been closed: it counts from now on, and no time may lie before its own.
  const earlier = resume ? await runSoFar(plan.path, plan.makeRun) : null;
  if (earlier?.ok === false) {
    closeSync(file.opened.file);
    file.opened.unlock();
    return { ok: false, ...earlier.fault };
  }
  const session = sessionOf(plan, file.opened, earlier);
  const fault = await session.start();
  if (fault === null) return { ok: true, session };
  await session.close();
  if (!resume) unlinkSync(session.recordingPath());
  return { ok: false, ...fault };
}

function sessionOf(plan: SessionPlan, file: OpenFile, earlier: RunSoFar | null): RunSession {
  const startMs = earlier === null ? 0 : continuedMs(earlier, file);
  const { source, makeRun } = plan;
  return new RunSession({
    id: plan.id ?? basename(file.path, '.rec'),
    title: plan.title,
    kind: plan.kind,
    source,
    recording: (owner) => new RecordingWriter(file, owner),
    // A source with its own time gives the recording its time.
    clock: source.atMs === undefined ? hostClock(startMs) : () => source.atMs ?? 0,
    opening: plan.opening,
    run: earlier?.run ?? makeRun([]),
    makeRun,
    ...(plan.hand === undefined ? {} : { hand: plan.hand }),
  });
}

function continuedMs({ events, lastMs }: RunSoFar, file: OpenFile): number {
  const abouts = events.map((record) => readEvent(record.payload)).filter((event) => event?.kind === 'about');
  const startedUtc = abouts.at(0)?.startedUtc ?? null;
  return resumedMs({ lastMs, startedUtc, lastWrittenMs: file.lastWrittenMs }, Date.now());
}
