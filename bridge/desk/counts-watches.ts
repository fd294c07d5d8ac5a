import type { Refused, Said } from '../calc-core/saying.ts';
import { SerialSource } from '../serial/serial-source.ts';
import type { ServedSession } from '../serve/served-session.ts';
import type { SessionRegistry } from '../serve/session-registry.ts';
import { say } from '../words/words.ts';
import { CountsWatch } from './counts-watch.ts';

/** The name by which a port opened for set-up alone is asked for. */
const SET_UP = 'set-up';

export interface WatchedCounts {
  watch: CountsWatch;
  /** One sentence on the link. */
  link(): Said;
}

interface HeardSession extends ServedSession {
  onLine(listener: (line: string) => void): () => void;
  link(): Said;
}

const isHeard = (session: ServedSession): session is HeardSession => 'onLine' in session && 'link' in session;

/** Counts of the runs there are, and of one port that is open for set-up without a run. */
export class CountsWatches {
  readonly #sessions: SessionRegistry;
  readonly #watched = new Map<string, WatchedCounts & { stop: () => void }>();
  #source: SerialSource | null = null;
  #link: Said = say('link-not-started');

  constructor(sessions: SessionRegistry) {
    this.#sessions = sessions;
  }

  of(from: string): WatchedCounts | null {
    const known = this.#watched.get(from);
    if (known !== undefined) return known;
    const session = this.#sessions.get(from);
    if (session === undefined || !isHeard(session)) return null;
    const watch = new CountsWatch();
    const stop = session.onLine((line) => watch.hear(line));
    const watched = { watch, stop, link: () => session.link() };
    this.#watched.set(from, watched);
    return watched;
  }

  async openPort(port: string, baud: number): Promise<{ ok: true } | Refused> {
    await this.closePort();
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
    this.#watched.set(SET_UP, { watch, stop: () => {}, link: () => this.#link });
    return { ok: true };
  }

  async closePort(): Promise<void> {
    this.#watched.delete(SET_UP);
    await this.#source?.close();
    this.#source = null;
  }

  async close(): Promise<void> {
    await this.closePort();
    for (const { stop } of this.#watched.values()) stop();
    this.#watched.clear();
  }
}
