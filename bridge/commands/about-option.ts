import { createInterface } from 'node:readline/promises';
import { namesIn } from './option-values.ts';
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
  const by = given.by.length > 0 ? given.by : asked ? namesIn(await ask(WHO)) : [];
  const temperature = given.temperature ?? (asked ? await ask(HOW_WARM) : UNKNOWN);
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

async function ask(question: string): Promise<string> {
  const dialogue = createInterface({ input: process.stdin, output: process.stderr });
  const answer = await dialogue.question(question);
  dialogue.close();
  return answer;
}
