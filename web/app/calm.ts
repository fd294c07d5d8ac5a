import { useEffect, useState } from 'preact/hooks';
import type { NowView } from '../../bridge/serve/page-protocol.ts';
import { useApp } from './app-context.ts';

/** Figures that change more often than this can't be read. */
const INTERVAL_MS = 120;

/** The newest reading, at a pace at which figures can be read; null before the first. */
export function useCalmNow(): NowView | null {
  const { store } = useApp();
  const [now, setNow] = useState(store.state.now);
  useEffect(() => {
    const timer = setInterval(() => setNow(store.state.now), INTERVAL_MS);
    return () => clearInterval(timer);
  }, [store]);
  return now;
}
