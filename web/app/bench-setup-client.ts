import type { Asked, Granted, Refused, RouteName } from '../../bridge/serve/page-protocol.ts';
import type { Texts } from '../texts/en.ts';
import { readAddress } from './address.ts';

/** What the page asks of the bridge beside the runs. Every answer says `ok`, or why not in one sentence. */

async function send<Name extends RouteName | 'drop'>(
  path: string,
  body: string | File,
): Promise<Granted<Name> | Refused> {
  const { token } = readAddress();
  const headers: Record<string, string> = token === '' ? {} : { Authorization: `Bearer ${token}` };
  try {
    const response = await fetch(`/api/${path}`, { method: 'POST', body, headers });
    if (response.ok) return await response.json();
    return unanswered(`${response.status}: ${(await response.text()).trim()}`);
  } catch (error) {
    return error instanceof TypeError ? SILENT : unanswered(String(error));
  }
}

/** The browser's own words, or a status: the same in every language. */
const unanswered = (text: string): Refused => ({
  ok: false,
  text,
  descriptor: { key: 'as-it-came', values: { words: text } },
});

/** Nothing answers; what `fetch` throws then has other words in each browser. */
const SILENT: Refused = unanswered('');

/** A refusal in the language in use. */
export const refusalIn = (texts: Texts, refused: Refused): string =>
  refused === SILENT ? texts.connection.notDone : texts.localise(refused);

export const postTo = <Name extends RouteName>(
  name: Name,
  asked: Asked<Name>,
): Promise<Granted<Name> | Refused> => send<Name>(name, JSON.stringify(asked));

export const dropFile = (file: File): Promise<Granted<'drop'> | Refused> =>
  send<'drop'>(`drop?${new URLSearchParams({ name: file.name })}`, file);
