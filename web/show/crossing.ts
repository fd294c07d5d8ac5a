import { useEffect, useRef, useState } from 'preact/hooks';
import type { CrossingView } from '../../bridge/serve/page-protocol.ts';
import { useApp } from '../app/app-context.ts';

/** How long a crossing stands out. Longer than a third of a second, so that no crossings in a row make a flicker. */
const STANDS_OUT_MS = 1500;
/** How long its place is shown while no balancing length has taken its turn. */
const KEPT_MS = 8000;

export interface ShownCrossing {
  crossing: CrossingView;
  standsOut: boolean;
}

/** The newest crossing while it is news; null otherwise. It is there in the picture in which its message is taken. */
export function useCrossing(newestNull: string | null): ShownCrossing | null {
  const { store } = useApp();
  const [shown, setShown] = useState<(ShownCrossing & { nullThen: string | null }) | null>(null);
  const nullNow = useRef(newestNull);
  nullNow.current = newestNull;
  useEffect(() => {
    let seen = store.state.crossing;
    let timers: ReturnType<typeof setTimeout>[] = [];
    const stop = () => timers.forEach(clearTimeout);
    const look = () => {
      const { crossing } = store.state;
      if (crossing === seen) return;
      seen = crossing;
      stop();
      if (crossing === null) {
        setShown(null);
        return;
      }
      const nullThen = nullNow.current;
      setShown({ crossing, standsOut: true, nullThen });
      timers = [
        setTimeout(() => setShown({ crossing, standsOut: false, nullThen }), STANDS_OUT_MS),
        setTimeout(() => setShown(null), KEPT_MS),
      ];
    };
    const leave = store.subscribe(look);
    return () => {
      leave();
      stop();
    };
  }, [store]);
  // A balancing length that was fitted since takes its place.
  return shown !== null && (shown.standsOut || shown.nullThen === newestNull) ? shown : null;
}
