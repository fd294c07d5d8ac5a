import type { BenchSetupAnswers, Refused } from '../../bridge/serve/page-protocol.ts';
import type { Texts } from '../texts/en.ts';
import { readAddress } from './address.ts';

/** What the page asks of the bridge beside the runs. Every answer says `ok`, or why not in one sentence. */

type Answer<Name extends keyof BenchSetupAnswers> = ({ ok: true } & BenchSetupAnswers[Name]) | Refused;

async function send<Name extends keyof BenchSetupAnswers>(
  path: string,
  options: RequestInit,
): Promise<Answer<Name>> {
  const { token } = readAddress();
  const headers: Record<string, string> = token === '' ? {} : { Authorization: `Bearer ${token}` };
  try {
    const response = await fetch(path, { ...options, headers });
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
  refused === SILENT ? texts.connection.notDone : texts.said(refused);

export const fetchFrom = <Name extends keyof BenchSetupAnswers>(
  name: Name,
  query: Record<string, string> = {},
): Promise<Answer<Name>> => send(`/api/${name}?${new URLSearchParams(query)}`, {});

export const postTo = <Name extends keyof BenchSetupAnswers>(
  name: Name,
  body: unknown,
): Promise<Answer<Name>> =>
  send(`/api/${name === 'save' ? 'bench' : name}`, { method: 'POST', body: JSON.stringify(body) });

export const dropFile = (file: File): Promise<Answer<'drop'>> =>
  send(`/api/drop?${new URLSearchParams({ name: file.name })}`, { method: 'POST', body: file });
