import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { en } from '../../web/texts/en.ts';
import { es } from '../../web/texts/es.ts';
import { preferredLanguage } from '../../web/texts/texts.ts';

/** All code of a folder but the texts themselves. */
const sourcesOf = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((file) => /\.tsx?$/.test(file) && !file.startsWith('texts'))
    .map((file) => readFileSync(join(folder, file), 'utf8'));

type Leaf = { path: string; value: unknown };

function leaves(value: unknown, path = ''): Leaf[] {
  if (typeof value !== 'object' || value === null) return [{ path, value }];
  return Object.entries(value).flatMap(([key, inner]) => leaves(inner, `${path}.${key}`));
}

/** Words that are the same in both languages. */
const SAME =
  /\.title$|\.observations\.(l1|l2|l0|l|ratio|driver|load|r)$|\.keys\.list\.\d+\.0$|\.tabs\.plan$|\.plots\.currentAxis$|sensitivity$|distributions\.(normal|rectangular|t|triangular)$/;

describe('texts', () => {
  it('have the same places filled in both languages', () => {
    expect(leaves(es).map((leaf) => leaf.path)).toEqual(leaves(en).map((leaf) => leaf.path));
    for (const { path, value } of [...leaves(en), ...leaves(es)]) {
      expect(typeof value === 'function' || String(value).trim() !== '', path).toBe(true);
    }
  });

  it('are translated, not copied', () => {
    const spanish = new Map(leaves(es).map((leaf) => [leaf.path, leaf.value]));
    const copied = leaves(en).filter(
      ({ path, value }) => typeof value === 'string' && value === spanish.get(path) && !SAME.test(path),
    );
    expect(copied.map((leaf) => leaf.path)).toEqual([]);
  });

  it('are all shown somewhere: by name, or by a choice within their group', () => {
    const code = sourcesOf('web').join('\n');
    const unused = leaves(en).filter(({ path }) => {
      const names = path.slice(1).split('.');
      return !names.some((name, index) => {
        const isLast = index === names.length - 1;
        return new RegExp(isLast ? `\\b${name}\\b` : `\\b${name}(\\[|\\.map\\b)`).test(code);
      });
    });
    expect(unused.map((leaf) => leaf.path)).toEqual([]);
  });

  it('follow the reader', () => {
    expect(preferredLanguage(['es-MX', 'en'])).toBe('es');
    expect(preferredLanguage(['de', 'fr'])).toBe('en');
    expect(preferredLanguage([])).toBe('en');
  });

  it('say every step as one sentence or two', () => {
    const step = { do: 'sweep', row: 8, scaleCm: 56.79, lengthCm: 743.21 } as const;
    expect(en.steps.sweep(step)).toContain('row 8 at 56.8 cm');
    expect(es.steps.sweep(step)).toContain('fila 8 en 56.8 cm');
  });
});
