import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import { Run } from '../../bridge/run/run.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { evenScene } from '../simulate/even-bench.ts';
import { handText, runOf } from './hand-text.ts';

/**
 * docs/worked-example.md: equal to what the program makes of the run it is about, and right when worked by hand from what is
 * printed. After a change that is meant, `npx vitest run tests/worked-example -u` writes it anew, `-u` last: it takes the next
 * word as its own, and every test would run.
 */

const PAGE = fileURLToPath(new URL('../../docs/worked-example.md', import.meta.url));
let view: RunView;

beforeAll(async () => {
  const fold = new Run({ formulas: await loadFormulas() });
  for (const record of simulateRun(evenScene({ seed: 1 }))) fold.addRecord(record);
  view = fold.view();
});

test('the page is the program’s', async () => {
  await expect(handText(view)).toMatchFileSnapshot(PAGE);
});

describe('by hand, from the page alone', () => {
  const page = readFileSync(PAGE, 'utf8');
  /** Rows of the table whose first heading cells are these. */
  const rowsOf = (heading: string): string[][] =>
    page
      .slice(page.indexOf(`| ${heading}`))
      .split('\n\n')[0]
      .split('\n')
      .slice(2)
      .map((line) =>
        line
          .split('|')
          .slice(1, -1)
          .map((cell) => cell.trim()),
      );
  const numberAfter = (words: string): number =>
    Number.parseFloat(page.slice(page.indexOf(words) + words.length));
  const lengths = rowsOf('set | driver').map((cells) => cells.map(Number));
  const weights = rowsOf('set | w').map((cells) => Number(cells[1]));
  const budget = rowsOf('input').map(([symbol, , u, , c, contribution, assumed]) => ({
    symbol,
    u,
    c,
    contribution,
    assumed,
  }));
  const endCm = numberAfter('here with α = ');
  const over = (column: number) =>
    lengths.reduce((sum, row, index) => sum + weights[index] * (row[column] + endCm), 0);
  const single = over(2) / over(3);

  test('ratios, mean and standard deviation', () => {
    const ratios = lengths.map(([, , l1, l2]) => l1 / l2);
    lengths.forEach((row, index) => {
      expect(row[4]).toBeCloseTo(ratios[index], 6);
    });
    const mean = ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length;
    const squares = ratios.reduce((sum, ratio) => sum + (ratio - mean) ** 2, 0);
    expect(numberAfter('mean of the ratios is ')).toBeCloseTo(mean, 6);
    expect(numberAfter('standard deviation ')).toBeCloseTo(Math.sqrt(squares / (ratios.length - 1)), 6);
  });

  test('the most probable model, to the last printed digit of the program’s', () => {
    const { result } = runOf(view);
    expect(roundTogether(single, result.U).value).toBe(
      roundTogether(result.singleModel.value, result.U).value,
    );
    expect(page).toContain(`= ${single.toFixed(6)}.`);
  });

  test('the average, and how far the most probable model is off it', () => {
    const average = numberAfter('It is\n');
    expect(average).toBeCloseTo(runOf(view).result.value, 6);
    expect(Math.abs(numberAfter('model is off it by ') - (single - average))).toBeLessThan(2e-6);
  });

  test('contributions, their root sum of squares, and the rounded result', () => {
    for (const { u, c, contribution } of budget)
      expect(Math.abs(Math.abs(Number(c) * Number(u)) - Number(contribution))).toBeLessThanOrEqual(
        2e-3 * Number(contribution),
      );
    const u = Math.sqrt(budget.reduce((sum, row) => sum + Number(row.contribution) ** 2, 0));
    expect(u / numberAfter('contributions: u = ')).toBeCloseTo(1, 3);
    const byHand = roundTogether(numberAfter('It is\n'), numberAfter('models is k = ') * u);
    const { result } = runOf(view);
    expect(byHand).toEqual(roundTogether(result.value, result.U));
    expect(page).toContain(`**E1/E2 = ${byHand.value} ± ${byHand.uncertainty}**`);
  });

  test('every row is marked that nobody stated of the bench', () => {
    const assumed = runOf(view).result.budget.flatMap((row) => (row.assumed ? [row.symbol] : []));
    expect(budget.flatMap((row) => (row.assumed === 'yes' ? [row.symbol] : []))).toEqual(assumed);
  });
});
