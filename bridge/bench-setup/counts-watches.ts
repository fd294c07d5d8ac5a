import pLimit from 'p-limit';
import type { Message, Refused } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { SerialSource } from '../serial/serial-source.ts';
import type { Session } from '../session/session.ts';
import { SET_UP, type SessionRegistry } from '../session/session-registry.ts';
import { type BoardCounts, CountsWatch } from './counts-watch.ts';

export interface Port {
  port: string;
  baud: number;
}

/** A run that has a board. */
interface HeardSession extends Session {
  onLine(listener: (line: string) => void): () => void;
  link(): Message & { port: string | null };
}

const isHeard = (session: Session | undefined): session is HeardSession =>
  session !== undefined && 'onLine' in session && 'link' in session;

/** What a page is shown of a board without a bench file. */
export interface SourceCounts {
  from: string;
  /** Null where the source is gone. */
  counts: BoardCounts | null;
  /** One sentence on the link, or why there are no counts. */
  link: Message;
}

/** Counts of the runs there are, while somebody follows them, and of one port that is open for set-up without a run. */
export class CountsWatches {
  readonly #sessions: SessionRegistry;
  readonly #stopFollowingSessions: () => void;
  /** How many follow each source, by its name. */
  readonly #followers = new Map<string, number>();
  readonly #runs = new Map<string, { session: HeardSession; watch: CountsWatch; stop: () => void }>();
  #setUp: { port: Port; source: SerialSource; watch: CountsWatch } | null = null;
  #link: Message = message('link-not-started');
  /** Opening and closing take time: what is asked for meanwhile waits, or a port would be left open that nobody knows. */
  readonly #oneAtATime = pLimit(1);

  constructor(sessions: SessionRegistry) {
    this.#sessions = sessions;
    this.#stopFollowingSessions = sessions.onChange(() => this.#watchFollowed());
  }

  /** From now on the counts of a run are known, for as long as it lasts. Returns the way to let go of them. */
  follow(from: string): () => void {
    this.#followers.set(from, (this.#followers.get(from) ?? 0) + 1);
    this.#watchFollowed();
    let following = true;
    return () => {
      if (!following) return;
      following = false;
      const left = (this.#followers.get(from) ?? 0) - 1;
      if (left > 0) this.#followers.set(from, left);
      else this.#followers.delete(from);
      this.#watchFollowed();
    };
  }

  /** The newest counts of a source that is followed. */
  counts(from: string): SourceCounts {
    const watch = this.watch(from);
    if (watch === null) return { from, counts: null, link: message('no-counts') };
    const link = from === SET_UP ? this.#link : (this.#runs.get(from)?.session.link() ?? this.#link);
    return { from, counts: watch.counts(), link };
  }

  /** Null where there is no such source, or nobody follows it. */
  watch(from: string): CountsWatch | null {
    const watched = from === SET_UP ? this.#setUp : this.#runs.get(from);
    return watched?.watch ?? null;
  }

  /** The run that listens to a port; null where none does. */
  runAt(port: string): Session | null {
    for (const { id } of this.#sessions.list()) {
      const session = this.#sessions.get(id);
      if (isHeard(session) && session.link().port === port) return session;
    }
    return null;
  }

  /** Opens a port for set-up alone; a run that listens to it already is heard instead. Answers from where counts come. */
  openPort(port: Port): Promise<{ ok: true; from: string } | Refused> {
    return this.#oneAtATime(async () => {
      await this.#letGo();
      return this.#open(port);
    });
  }

  closePort(): Promise<void> {
    return this.#oneAtATime(() => this.#letGo());
  }

  /** Does what needs a port that may be open for set-up; it is opened again where that comes to nothing. */
  withoutPort<Done extends { ok: boolean }>(work: () => Promise<Done>): Promise<Done> {
    return this.#oneAtATime(async () => {
      const open = this.#setUp?.port;
      await this.#letGo();
      const done = await work();
      if (!done.ok && open !== undefined) await this.#open(open);
      return done;
    });
  }

  async close(): Promise<void> {
    this.#stopFollowingSessions();
    this.#followers.clear();
    this.#watchFollowed();
    await this.closePort();
  }

  async #open(port: Port): Promise<{ ok: true; from: string } | Refused> {
    const run = this.runAt(port.port);
    if (run !== null) return { ok: true, from: run.summary.id };
    const watch = new CountsWatch();
    const source = new SerialSource({ path: port.port, baudRate: port.baud, rateHz: null });
    const fault = await source.start({
      lines: (lines) => {
        for (const line of lines) watch.hear(line);
      },
      sent: () => {},
      records: () => {},
      link: (status) => {
        this.#link = status;
      },
      ended: () => {},
    });
    if (fault !== null) return { ok: false, ...fault };
    this.#setUp = { port, source, watch };
    return { ok: true, from: SET_UP };
  }

  async #letGo(): Promise<void> {
    const open = this.#setUp;
    this.#setUp = null;
    await open?.source.close();
  }

  /** Listens to the runs that are there and followed, and to no others. */
  #watchFollowed(): void {
    for (const [id, { session, stop }] of this.#runs) {
      if (this.#followers.has(id) && this.#sessions.get(id) === session) continue;
      stop();
      this.#runs.delete(id);
    }
    for (const id of this.#followers.keys()) {
      const session = this.#sessions.get(id);
      if (this.#runs.has(id) || !isHeard(session)) continue;
      const watch = new CountsWatch();
      this.#runs.set(id, { session, watch, stop: session.onLine((line) => watch.hear(line)) });
    }
  }
}
