import { useEffect, useRef } from 'preact/hooks';
import type { Outcome } from '../../bridge/serve/page-protocol.ts';
import { useAnswers, useApp, usePage } from '../app/app-context.ts';

const PAUSE_MS = 1000;

/** How the result of the run shown was worked out; asked for anew, now and then, while the result changes. Null where there is none. */
export function useCalculation(): Outcome | null {
  const { connection, store } = useApp();
  const answers = useAnswers();
  const session = usePage((state) => state.session);
  const askedFor = useRef<unknown>(null);
  useEffect(() => {
    askedFor.current = null;
    const ask = () => {
      const result = store.state.view?.work.outcome?.result ?? null;
      if (!answers || result === askedFor.current) return;
      askedFor.current = result;
      connection.send({ type: 'calculation' });
    };
    ask();
    const timer = setInterval(ask, PAUSE_MS);
    return () => clearInterval(timer);
  }, [session, answers]);
  return usePage((state) => state.calculation);
}
