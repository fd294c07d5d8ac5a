import { useApp, usePage } from '../app/app-context.ts';
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

export const NO_SET_UP: SetUp = {
  draft: BLANK,
  file: '',
  saved: '',
  before: null,
  port: '',
  baud: 115_200,
  listening: false,
};

export function readSetUp(): SetUp {
  try {
    const kept: unknown = JSON.parse(sessionStorage.getItem(KEPT_AS) ?? '{}');
    return { ...NO_SET_UP, ...(kept as Partial<SetUp>) };
  } catch {
    return NO_SET_UP;
  }
}

function keep(setUp: SetUp): void {
  try {
    sessionStorage.setItem(KEPT_AS, JSON.stringify(setUp));
  } catch {
    // A browser that keeps nothing still has it until the reload.
  }
}

export function useSetUp(): { setUp: SetUp; change: (changes: (present: SetUp) => Partial<SetUp>) => void } {
  const { store } = useApp();
  const setUp = usePage((state) => state.setUp);
  const change = (changes: (present: SetUp) => Partial<SetUp>) => {
    const next = { ...store.state.setUp, ...changes(store.state.setUp) };
    store.set({ setUp: next });
    keep(next);
  };
  return { setUp, change };
}
