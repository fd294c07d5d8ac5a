import type { Refused } from '../../bridge/serve/page-protocol.ts';
import { useApp } from './app-context.ts';
import { refusalIn } from './bench-setup-client.ts';

/**
 * For what somebody asks of the bridge by a press: a refusal is shown and answered by null; what is granted takes an
 * earlier refusal off the page.
 */
export function useAsk(): <Given extends { ok: true }>(
  asked: Promise<Given | Refused>,
) => Promise<Given | null> {
  const { store } = useApp();
  return async (asked) => {
    const answer = await asked;
    if (answer.ok) {
      store.dismiss();
      return answer;
    }
    store.notify((texts) => refusalIn(texts, answer));
    return null;
  };
}
