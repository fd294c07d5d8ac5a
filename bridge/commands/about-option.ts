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
  const lacks = [
    ...(given.by.length === 0 ? ['--by NAME'] : []),
    ...(given.temperature === null ? ['--temperature CELSIUS (or unknown)'] : []),
  ];
  if (lacks.length > 0 && !terminal.interactive)
    return { ok: false, text: `the record needs to know more: give ${lacks.join(' and ')}` };
  const by =
    given.by.length > 0 ? given.by : namesIn(await ask('Who is at the bench? (names, with commas) '));
  if (by.length === 0) return { ok: false, text: 'the record needs the name of whoever is at the bench' };
  const temperature =
    given.temperature ?? (await ask('Temperature at the bench in degrees Celsius? (or unknown) '));
  const temperatureC = readTemperature(temperature.trim());
  if (temperatureC !== undefined) return { ok: true, by, temperatureC };
  return {
    ok: false,
    text: `a temperature in degrees Celsius was expected, or "unknown"; found "${temperature}"`,
  };
}

/** Null for unknown, undefined for what is no temperature. */
function readTemperature(text: string): number | null | undefined {
  if (text === 'unknown') return null;
  const celsius = Number(text.replace(',', '.'));
  return text !== '' && celsius > -60 && celsius < 100 ? celsius : undefined;
}

async function ask(question: string): Promise<string> {
  const dialogue = createInterface({ input: process.stdin, output: process.stderr });
  const answer = await dialogue.question(question);
  dialogue.close();
  return answer;
}
