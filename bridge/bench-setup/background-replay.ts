import { basename } from 'node:path';
import type { Worker } from 'node:worker_threads';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { RunView } from '../run/view.ts';
import type {
  Answer,
  PlaybackCommand,
  PlaybackView,
  RecordingState,
  Session,
  SessionSummary,
} from '../session/session.ts';
import { SessionEvents } from '../session/session-events.ts';
import { withChanges } from '../session/view-patch.ts';
import type { Background } from './background.ts';
import type { ReplayBegun, ReplayNews, ReplayState, ToReplay } from './background-jobs.ts';

export interface BackgroundReplayOptions {
  id: string;
  path: string;
  /** Times real time. */
  speed: number;
  background: Background;
}

/** A replay that a worker plays: here is only what it shows. */
export class BackgroundReplay extends SessionEvents implements Session {
  readonly summary: SessionSummary;
  readonly #path: string;
  readonly #worker: Worker;
  #state: ReplayState;
  #trouble: Message | null = null;

  private constructor({ id, path }: BackgroundReplayOptions, worker: Worker, state: ReplayState) {
    super();
    this.summary = { id, title: basename(path), kind: 'replay' };
    this.#path = path;
    this.#worker = worker;
    this.#state = state;
    worker.on('message', (news: ReplayNews) => this.#take(news));
    worker.on('error', (error) => {
      this.#trouble = message('bridge-failed', { message: error.message });
      this.changed.tell();
    });
  }

  /** Begins to play; or answers why the recording can't be read. */
  static async open(
    options: BackgroundReplayOptions,
  ): Promise<{ ok: true; session: BackgroundReplay } | ({ ok: false } & Message)> {
    const { path, speed, background } = options;
    const worker = background.start({ kind: 'replay', path, speed });
    const begun = await new Promise<ReplayBegun>((resolve) => {
      worker.once('message', resolve);
      worker.once('error', (error) =>
        resolve({ ok: false, fault: message('bridge-failed', { message: error.message }) }),
      );
    });
    if (begun.ok) return { ok: true, session: new BackgroundReplay(options, worker, begun.state) };
    await worker.terminate();
    return { ok: false, ...begun.fault };
  }

  view(): RunView {
    return this.#state.view;
  }

  playback(): PlaybackView {
    return this.#state.playback;
  }

  play(command: PlaybackCommand): Answer {
    this.#send({ play: command });
    return { ok: true };
  }

  recordEvent(): Answer {
    return { ok: false, ...message('replay-only-played') };
  }

  recording(): RecordingState {
    return { file: basename(this.#path), trouble: this.#trouble };
  }

  recordingPath(): string {
    return this.#path;
  }

  async close(): Promise<void> {
    await this.#worker.terminate();
  }

  #take({ anew, readings, changes, ended }: ReplayNews): void {
    this.#state = withChanges(this.#state, changes);
    if (anew) this.anew.tell();
    for (const reading of readings) this.readings.tell(reading);
    if (changes.length > 0) this.changed.tell();
    if (ended) this.ended.tell();
    this.#send('taken');
  }

  #send(told: ToReplay): void {
    this.#worker.postMessage(told);
  }
}
