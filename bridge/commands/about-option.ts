import { createInterface } from 'node:readline/promises';
import type { RunEventOf } from '../run/events.ts';
import type { Terminal } from './terminal.ts';

export type AboutOption = { ok: true; about: RunEventOf<'about'> } | { ok: false; text: string };

/** Whose run it is and how warm it is: from the options, or asked for where somebody sits there. */
export async function aboutRun(
  given: { by: string[]; temperature: string | null },
  terminal: Terminal,
  now: Date,
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
  return aboutOf(by, temperature.trim(), now);
}

function aboutOf(by: string[], temperature: string, now: Date): AboutOption {
  const startedUtc = now.toISOString().replace(/\.\d+Z$/, 'Z');
  if (temperature === 'unknown') return { ok: true, about: { kind: 'about', startedUtc, by } };
  const temperatureC = Number(temperature.replace(',', '.'));
  if (temperature === '' || !(temperatureC > -60 && temperatureC < 100))
    return {
      ok: false,
      text: `a temperature in degrees Celsius was expected, or "unknown"; found "${temperature}"`,
    };
  return { ok: true, about: { kind: 'about', startedUtc, by, temperatureC } };
}

export const namesIn = (text: string): string[] =>
  text
    .split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '');

async function ask(question: string): Promise<string> {
  const dialogue = createInterface({ input: process.stdin, output: process.stderr });
  const answer = await dialogue.question(question);
  dialogue.close();
  return answer;
}
