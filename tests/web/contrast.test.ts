import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { contrastOf } from './contrast.ts';

/** The palettes of the style sheet: the light one, the dark one by choice, and the dark one of the system. */
function palettes(): Record<string, string>[] {
  const blocks = readFileSync('web/style/tokens.css', 'utf8').matchAll(/^ *:root[^{]*\{([^}]*)\}/gm);
  return [...blocks].map(([, block]) =>
    Object.fromEntries(
      [...block.matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map(([, name, colour]) => [name, colour]),
    ),
  );
}

const GROUNDS = ['paper', 'surface', 'raised'];
const on = (inks: string[], grounds: string[]) =>
  inks.flatMap((ink) => grounds.map((ground) => [ink, ground]));

/** Levels AAA and AA for text, and that of marks that must be told apart (WCAG 2.2, 1.4.6, 1.4.3, 1.4.11). */
const LEAST: [string, number, string[][]][] = [
  ['text in the view for the room', 7, [...on(['ink'], GROUNDS), ['ink', 'warn-paper'], ['paper', 'ink']]],
  ['text elsewhere', 4.5, on(['quiet', 'accent', 'stop', 'warn', 'cell-1', 'cell-2'], ['paper', 'surface'])],
  [
    'text on its own ground',
    4.5,
    [
      ['stop', 'stop-paper'],
      ['warn', 'warn-paper'],
      ['on-accent', 'accent'],
    ],
  ],
  ['marks, in drawings and on canvas', 3, on(['cell-1', 'cell-2', 'fit', 'ink'], GROUNDS)],
  ['edges of what can be pressed', 3, on(['edge'], ['surface'])],
];

describe('the contrast of the palettes', () => {
  it('reads three of them, and the system’s dark one is the chosen dark one', () => {
    const [light, system, chosen, ...more] = palettes();
    expect(more).toEqual([]);
    expect(system).toEqual(chosen);
    expect(Object.keys(light)).toEqual(Object.keys(chosen));
  });

  it.each(LEAST)('%s: at least %d to 1', (_, least, pairs) => {
    const below = palettes().flatMap((palette) =>
      pairs
        .filter(([ink, ground]) => contrastOf(palette[ink], palette[ground]) < least)
        .map(
          ([ink, ground]) => `${ink} on ${ground}: ${contrastOf(palette[ink], palette[ground]).toFixed(2)}`,
        ),
    );
    expect(below).toEqual([]);
  });
});
