import type { Message, Refused } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { SerialSource } from '../serial/serial-source.ts';
import type { ServedSession } from '../serve/served-session.ts';
import type { SessionRegistry } from '../serve/session-registry.ts';
import { CountsWatch } from './counts-watch.ts';

/** The name by which a port opened for set-up alone is asked for. */
export const SET_UP = 'set-up';

interface Port {
  port: string;
  baud: number;
}

export interface WatchedCounts {
  watch: CountsWatch;
  /** One sentence on the link. */
  link(): Message;
}

interface HeardSession extends ServedSession {
  onLine(listener: (line: string) => void): () => void;
  link(): Message & { port: string | null };
}

const isHeard = (session: ServedSession | undefined): session is HeardSession =>
  session !== undefined && 'onLine' in session && 'link' in session;

/** Counts of the runs there are, and of one port that is open for set-up without a run. */
export class CountsWatches {
  readonly #sessions: SessionRegistry;
  readonly #watched = new Map<string, WatchedCounts & { stop: () => void }>();
  #source: SerialSource | null = null;
  #port: Port | null = null;
  #link: Message = message('link-not-started');

  constructor(sessions: SessionRegistry) {
    this.#sessions = sessions;
  }

  of(from: string): WatchedCounts | null {
    const known = this.#watched.get(from);
    if (known !== undefined) return known;
    const session = this.#sessions.get(from);
    if (!isHeard(session)) return null;
    const watch = new CountsWatch();
    const stop = session.onLine((line) => watch.hear(line));
    const watched = { watch, stop, link: () => session.link() };
    this.#watched.set(from, watched);
    return watched;
  }

  /** The run that listens to a port; null where none does. */
  runAt(port: string): ServedSession | null {
    for (const { id } of this.#sessions.list()) {
      const session = this.#sessions.get(id);
      if (isHeard(session) && session.link().port === port) return session;
    }
    return null;
  }

  /** Opens a port for set-up alone; a run that listens to it already is heard instead. Answers from where counts come. */
  async openPort({ port, baud }: Port): Promise<{ ok: true; from: string } | Refused> {
    await this.closePort();
    const run = this.runAt(port);
    if (run !== null) return { ok: true, from: run.summary.id };
    const watch = new CountsWatch();
    const source = new SerialSource({ path: port, baudRate: baud, rateHz: null });
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
    this.#source = source;
    this.#port = { port, baud };
    this.#watched.set(SET_UP, { watch, stop: () => {}, link: () => this.#link });
    return { ok: true, from: SET_UP };
  }

  /** Lets go of the port that was open for set-up, and answers which it was. */
  async closePort(): Promise<Port | null> {
    const open = this.#port;
    this.#watched.delete(SET_UP);
    await this.#source?.close();
    this.#source = null;
    this.#port = null;
    return open;
  }

  async close(): Promise<void> {
    await this.closePort();
    for (const { stop } of this.#watched.values()) stop();
    this.#watched.clear();
  }
}
