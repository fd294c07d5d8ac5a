import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import type { RunEvent, SessionView } from '../../bridge/serve/page-protocol.ts';
import type { Connection } from './connection.ts';
import type { PointBuffer } from './point-buffer.ts';
import { type PageState, type PageStore, useStore } from './store.ts';

export interface App {
  store: PageStore;
  points: PointBuffer;
  connection: Connection;
}

export const AppContext = createContext<App | null>(null);

export function useApp(): App {
  const app = useContext(AppContext);
  if (app === null) throw new Error('drawn outside the app');
  return app;
}

export const usePage = <Picked>(pick: (state: PageState) => Picked): Picked => useStore(useApp().store, pick);

/** The run on the page; only drawn where there is one. */
export const useView = (): SessionView | null => usePage((state) => state.view);
export const useMaySteer = (): boolean =>
  usePage((state) => state.role !== 'watch' && state.connection === 'open');

/** This page may steer, whether or not the bridge answers just now: what is being typed must not vanish with it. */
export const useSteers = (): boolean => usePage((state) => state.role !== 'watch');

/** This page sees results that are hidden from others, and may hide them. */
export const useTeaches = (): boolean => usePage((state) => state.role === 'teach');

/** The bridge answers: what it is asked for once is asked again when it has come back. */
export const useAnswers = (): boolean => usePage((state) => state.connection === 'open');

/** Events can be recorded in a run that is on; a replay is only played. */
export const useMayRecord = (): boolean =>
  usePage((state) => {
    const shown = state.sessions.find((one) => one.id === state.session);
    return (
      state.role !== 'watch' &&
      state.connection === 'open' &&
      shown?.kind !== 'replay' &&
      shown?.kind !== 'copied'
    );
  });

/** A replay is shown: nobody is at its bench, and nothing of it is to be done. */
export const useIsReplay = (): boolean => usePage((state) => (state.view?.playback ?? null) !== null);

export function useRecordEvent(): (event: RunEvent) => void {
  const { connection } = useApp();
  return (event) => connection.recordEvent(event);
}
