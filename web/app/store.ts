import { useEffect, useState } from 'preact/hooks';
import type {
  Message,
  NowView,
  Role,
  SessionSummary,
  SessionView,
} from '../../bridge/serve/page-protocol.ts';
import { readSetUp, type SetUp } from '../setup/set-up.ts';
import type { Texts } from '../texts/en.ts';

export interface Notice {
  id: number;
  /** Message by the bridge, or by the page: in the language in use then, or in whichever is in use when it is shown. */
  words: Message | string | ((texts: Texts) => string);
}

/**
 * What the page knows. Nothing of a run outlives a reload but the choice of it, which stands in the address; a bench that is
 * being described does.
 */
export interface PageState {
  connection: 'connecting' | 'open' | 'lost' | 'refused';
  role: Role;
  sessions: SessionSummary[];
  session: string | null;
  view: SessionView | null;
  now: NowView | null;
  notice: Notice | null;
  setUp: SetUp;
}

type Listener = () => void;

export class Store {
  #state: PageState = {
    connection: 'connecting',
    role: 'watch',
    sessions: [],
    session: null,
    view: null,
    now: null,
    notice: null,
    setUp: readSetUp(),
  };
  readonly #listeners = new Set<Listener>();

  get state(): PageState {
    return this.#state;
  }

  set(changes: Partial<PageState>): void {
    this.#state = { ...this.#state, ...changes };
    for (const listener of this.#listeners) listener();
  }

  notify(words: Notice['words']): void {
    this.set({ notice: { id: (this.#state.notice?.id ?? 0) + 1, words } });
  }

  /** What was refused is dealt with, or no longer of interest. */
  dismiss(): void {
    if (this.#state.notice !== null) this.set({ notice: null });
  }

  subscribe(listener: Listener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
}

/** What `pick` takes out of the store; the component is drawn again when that has changed. */
export function useStore<Picked>(store: Store, pick: (state: PageState) => Picked): Picked {
  const [picked, setPicked] = useState(() => pick(store.state));
  useEffect(() => {
    const look = () => setPicked(() => pick(store.state));
    look();
    return store.subscribe(look);
  }, [store]);
  return picked;
}
