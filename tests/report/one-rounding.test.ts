import fc from 'fast-check';
import { type ComponentChild, h } from 'preact';
import { renderToString } from 'preact-render-to-string';
import { beforeAll, expect, it } from 'vitest';
import { resultText } from '../../bridge/calc-core/rounding.ts';
import { resultLines } from '../../bridge/commands/result-lines.ts';
import { classGroups } from '../../bridge/report/class-groups.ts';
import { classCsv } from '../../bridge/report/class-table.ts';
import { Observations as PrintedObservations } from '../../bridge/report/page/observations.tsx';
import { Statement } from '../../bridge/report/page/statement.tsx';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import type { ComparisonSetView, ComparisonWork, RunView } from '../../bridge/run/view.ts';
import type { SessionView } from '../../bridge/serve/page-protocol.ts';
import { type App, AppContext } from '../../web/app/app-context.ts';
import { PointBuffer } from '../../web/app/point-buffer.ts';
import { PageStore } from '../../web/app/store.ts';
import { Observations } from '../../web/run/observations.tsx';
import { ResultLine } from '../../web/run/result-line.tsx';
import { en } from '../../web/texts/en.ts';
import { TextsContext } from '../../web/texts/texts.ts';
import { fixtureRun } from './runs.ts';

/** One rounding for people: page, terminal, record and the table of a class print the same digits of a number. */

let run: ReportedRun;

beforeAll(async () => {
  run = await fixtureRun('comparison-four-sets.rec');
});

const workOf = (view: RunView): ComparisonWork => {
  if (view.work.procedure !== 'emf-comparison') throw new Error('the fixture compares EMFs');
  return view.work;
};

const withWork = (changes: Partial<ComparisonWork>): RunView => ({
  ...run.view,
  work: { ...workOf(run.view), ...changes },
});

function onPage(view: RunView, part: ComponentChild): string {
  const store = new PageStore(null);
  const shown: Partial<SessionView> = view;
  store.set({ view: shown as SessionView });
  // neither part uses the connection, which wants a browser
  const app: App = { store, points: new PointBuffer(), connection: undefined as never };
  const inEnglish = h(TextsContext.Provider, { value: en, children: part });
  return textOf(h(AppContext.Provider, { value: app, children: inEnglish }));
}

const textOf = (part: ComponentChild): string =>
  renderToString(h('div', null, part))
    .replace(/<[^>]*>/g, ' ')
    .replace(/\s+/g, ' ');

/** Over many decades, with uncertainties that round up and down, and values that vanish beside them. */
const PAIRS = fc.record({
  value: fc.oneof(fc.double({ min: -2, max: 2000, noNaN: true }), fc.constant(0), fc.constant(-1e-9)),
  U: fc.double({ min: -7, max: 2, noNaN: true }).map((power) => 10 ** power),
});

it('prints a result alike on page, terminal, record and in the table of a class, for 10,000 drawn pairs', () => {
  const { outcome } = workOf(run.view);
  const known = outcome?.result;
  if (outcome == null || known == null) throw new Error('the fixture has a result');
  fc.assert(
    fc.property(PAIRS, ({ value, U }) => {
      const result = { ...known, value, U };
      const view = withWork({ outcome: { ...outcome, result } });
      const text = resultText(result);
      expect(text).toMatch(/^(−(?=.*[1-9].* ±))?\d+(\.\d+)? ± \d+(\.\d+)?$/u);
      expect(resultLines(view)).toContain(`E1/E2 = ${text}`);
      expect(textOf(h(Statement, { result }))).toContain(`= ${text} `);
      expect(onPage(view, h(ResultLine, null))).toContain(`= ${text} `);
      const runs = [{ file: 'a.rec', view }];
      expect(classCsv(runs, classGroups(runs))).toContain(`,${text},`);
    }),
    { numRuns: 10_000, seed: 7 },
  );
});

const SET = fc.record({
  driverMa: fc.double({ min: 1, max: 500, noNaN: true }),
  cm: fc.tuple(fc.double({ min: 0, max: 1000, noNaN: true }), fc.double({ min: 0, max: 1000, noNaN: true })),
  u: fc.array(
    fc.double({ min: -5, max: 0, noNaN: true }).map((power) => 10 ** power),
    { minLength: 3, maxLength: 3 },
  ),
});

const setOf = (
  { driverMa, cm, u }: typeof SET extends fc.Arbitrary<infer One> ? One : never,
  index: number,
) =>
  ({
    set: index + 1,
    driverMa,
    l1Cm: cm[0],
    u1Cm: u[0],
    l2Cm: cm[1],
    u2Cm: u[1],
    ratio: cm[0] / (cm[1] + 1),
    uRatio: u[2],
  }) as ComparisonSetView;

it('prints a table of observations alike on page, terminal and record, each column with one number of decimals', () => {
  fc.assert(
    fc.property(fc.array(SET, { minLength: 1, maxLength: 5 }), (drawn) => {
      const view = withWork({ sets: drawn.map(setOf), outcome: null });
      const rows = resultLines(view)
        .slice(1, drawn.length + 1)
        .map((line) => line.trim().split(/ {2,}/));
      for (const column of [1, 2, 4, 6]) {
        const decimals = rows
          .map((row) => `${row[column]} ${row[column + (column > 1 ? 1 : 0)]}`)
          .flatMap((both) => both.split(' ').map(decimalsIn));
        expect(new Set(decimals).size).toBe(1);
      }
      const record = textOf(h(PrintedObservations, { view: { ...view, nulls: [] } }));
      const page = onPage(view, h(Observations, null));
      for (const [set, mA, ...figures] of rows) {
        expect(record).toContain(` ${[set, mA, ...figures].join(' ')} yes `);
        const pairs = [0, 2, 4].map((at) => `${figures[at]} ± ${figures[at + 1]}`);
        expect(page).toContain(` ${[set, mA, ...pairs].join(' ')} `);
      }
    }),
    { numRuns: 300, seed: 8 },
  );
});

const decimalsIn = (text: string): number => text.split('.')[1]?.length ?? 0;
