import { createInterface } from 'node:readline/promises';
import { namesIn } from '../run/about.ts';
import type { Terminal } from './terminal.ts';

export type AboutOption =
  | { ok: true; by: string[]; temperatureC: number | null }
  | { ok: false; text: string };

/** Whose run it is and how warm it is: from the options, or asked for where somebody sits there. */
export async function aboutRun(
  given: { by: string[]; temperature: string | null },
  terminal: Terminal,
): Promise<AboutOption> {
  const asked = terminal.interactive;
  const who = given.by.length > 0 || !asked ? '' : await ask(WHO);
  if (who === null) return BROKEN_OFF;
  const by = given.by.length > 0 ? given.by : namesIn(who);
  const temperature = given.temperature ?? (asked ? await ask(HOW_WARM) : UNKNOWN);
  if (temperature === null) return BROKEN_OFF;
  const read = temperatureOption(temperature);
  if (!read.ok) return read;
  const { temperatureC } = read;
  // A run is not held up for it: the page has a place for what is missing, and the record shows the gap.
  const lacks = [
    ...(by.length === 0 ? ['who is at the bench (--by)'] : []),
    ...(temperatureC === null && given.temperature === null ? ['how warm it is (--temperature)'] : []),
  ];
  if (lacks.length > 0) terminal.note(`the record still lacks ${lacks.join(' and ')}: say it on the page`);
  return { ok: true, by, temperatureC };
}

const BROKEN_OFF: AboutOption = { ok: false, text: 'ended before the run began; nothing was recorded' };
const UNKNOWN = 'unknown';
const WHO = 'Who is at the bench? (names, with commas) ';
const HOW_WARM = 'Temperature at the bench in degrees Celsius? (or unknown) ';

/** Degrees Celsius, with a point or a comma; null for unknown. */
export function temperatureOption(
  given: string,
): { ok: true; temperatureC: number | null } | { ok: false; text: string } {
  const text = given.trim();
  if (text === UNKNOWN || text === '') return { ok: true, temperatureC: null };
  const celsius = Number(text.replace(',', '.'));
  if (celsius > -60 && celsius < 100) return { ok: true, temperatureC: celsius };
  return {
    ok: false,
    text: `a temperature in degrees Celsius was expected, or "unknown"; found "${given}"`,
  };
}

/** The answer of whoever sits there: empty for Ctrl-D, which leaves it unsaid, and null for Ctrl-C. */
export function ask(
  question: string,
  input: NodeJS.ReadableStream = process.stdin,
  output: NodeJS.WritableStream = process.stderr,
): Promise<string | null> {
  const dialogue = createInterface({ input, output, terminal: true });
  return new Promise((resolve) => {
    const end = (answer: string | null) => {
      resolve(answer);
      dialogue.close();
    };
    dialogue.once('SIGINT', () => end(null));
    dialogue.once('close', () => end(''));
    // A question that is broken off is rejected; the closing has answered by then.
    dialogue.question(question).then(end, () => end(''));
  });
}
