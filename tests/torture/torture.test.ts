import { describe, expect, it } from 'vitest';
import { PARTS } from './parts.ts';

describe('the campaign, a short version of each part', () => {
  it.each(Object.entries(PARTS))('%s finds no fault', { timeout: 300_000 }, async (_name, part) => {
    expect(Object.keys(await part.short(1)).length).toBeGreaterThan(0);
  });
});
