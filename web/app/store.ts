import { useEffect, useState } from 'preact/hooks';
import type {
  ClassBoard,
  CrossingView,
  Message,
  NowView,
  Outcome,
  Role,
  RoomShows,
  SessionSummary,
  SessionView,
  SourceCounts,
  WatchLink,
} from '../../bridge/serve/page-protocol.ts';
import { Broadcast } from '../../bridge/session/broadcast.ts';
import type { Texts } from '../texts/en.ts';

export interface Notice {
  id: number;
  /** Message by the bridge, or by the page: in the language in use then, or in whichever is in use when it is shown. */
  text: Message | string | ((texts: Texts) => string);
}

/**
 * What the page knows of the bridge and its runs. Nothing of it outlives a reload but the choice of the run, which stands in
 * the address.
 */
export interface PageState {
  connection: 'connecting' | 'open' | 'lost' | 'refused';
  role: Role;
  sessions: SessionSummary[];
  session: string | null;
  view: SessionView | null;
  now: NowView | null;
  /** The newest that came while this page looked on. */
  crossing: CrossingView | null;
  /** With it another machine may watch; null while none is let in. */
  watchLink: WatchLink | null;
  /** What the view for the room shows. */
  room: RoomShows;
  /** Behind the result of the run shown, while somebody looks at it. */
  calculation: Outcome | null;
  /** Of the source that is being followed for set-up; null before the first. */
  counts: SourceCounts | null;
  /** The room of benches whose class is shown; null where the bridge serves a bench, undefined before it said. */
  classRoom: string | null | undefined;
  /** Null while it is not followed. */
  board: ClassBoard | null;
  notice: Notice | null;
}

/** A state that components follow; a change replaces it. */
export class Store<State> {
  #state: State;
  readonly #changes = new Broadcast<void>();

  constructor(state: State) {
    this.#state = state;
  }

  get state(): State {
    return this.#state;
  }

  set(changes: Partial<State>): void {
    this.#state = { ...this.#state, ...changes };
    this.#changes.tell();
  }

  /** Returns the way to stop listening. */
  subscribe(listener: () => void): () => void {
    return this.#changes.on(listener);
  }
}

export class PageStore extends Store<PageState> {
  constructor(session: string | null) {
    super({
      connection: 'connecting',
      role: 'watch',
      sessions: [],
      session,
      view: null,
      now: null,
      crossing: null,
      watchLink: null,
      room: 'by itself',
      calculation: null,
      counts: null,
      classRoom: undefined,
      board: null,
      notice: null,
    });
  }

  notify(text: Notice['text']): void {
    this.set({ notice: { id: (this.state.notice?.id ?? 0) + 1, text } });
  }

  /** What was refused is dealt with, or no longer of interest. */
  dismiss(): void {
    if (this.state.notice !== null) this.set({ notice: null });
  }
}

/** What `pick` takes out of the store; the component is drawn again when that has changed. */
export function useStore<State, Picked>(store: Store<State>, pick: (state: State) => Picked): Picked {
  const [picked, setPicked] = useState(() => pick(store.state));
  useEffect(() => {
    const look = () => setPicked(() => pick(store.state));
    look();
    return store.subscribe(look);
  }, [store]);
  return picked;
}
