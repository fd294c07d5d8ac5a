import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import { Store, useStore } from '../app/store.ts';
import { BLANK, type Draft } from './draft.ts';

interface Described {
  draft: Draft;
  /** The name that its file has or will have; empty for one made from the bench's name. */
  file: string;
  /** The draft as the file holds it, as JSON; empty where there is no such file. */
  saved: string;
}

/**
 * What is being described on the Bench page. Kept in this tab of the browser until it is closed: a calibration must outlive a
 * look at another page, and a reload.
 */
export interface SetUp extends Described {
  /** What was described before it was replaced whole; null where there is nothing to go back to. */
  before: Described | null;
  port: string;
  baud: number;
  /** A port is open for set-up alone: counts come from it, and not from the run shown. */
  listening: boolean;
}

const KEPT_AS = 'tenwire.set-up';

const NO_SET_UP: SetUp = {
  draft: BLANK,
  file: '',
  saved: '',
  before: null,
  port: '',
  baud: 115_200,
  listening: false,
};

function readSetUp(): SetUp {
  try {
    const kept: unknown = JSON.parse(sessionStorage.getItem(KEPT_AS) ?? '{}');
    return { ...NO_SET_UP, ...(kept as Partial<SetUp>) };
  } catch {
    return NO_SET_UP;
  }
}

/** The set-up as this tab has kept it, and keeps it from now on. */
export function openSetUp(): Store<SetUp> {
  const store = new Store(readSetUp());
  store.subscribe(() => {
    try {
      sessionStorage.setItem(KEPT_AS, JSON.stringify(store.state));
    } catch {
      // A browser that keeps nothing still has it until the reload.
    }
  });
  return store;
}

export const SetUpContext = createContext<Store<SetUp> | null>(null);

export function useSetUp(): { setUp: SetUp; change: (changes: (present: SetUp) => Partial<SetUp>) => void } {
  const store = useContext(SetUpContext);
  if (store === null) throw new Error('drawn outside the set-up');
  const setUp = useStore(store, (state) => state);
  return { setUp, change: (changes) => store.set(changes(store.state)) };
}
