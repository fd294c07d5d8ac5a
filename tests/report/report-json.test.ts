import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { beforeAll, describe, expect, it } from 'vitest';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import { reportedRun } from '../../bridge/report/read-run.ts';
import { reportJson } from '../../bridge/report/report-json.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { fingerprintOf } from '../independent-recordings/fold-text.ts';
import { eye, fixtureRun, runOf, runOfEvents } from './runs.ts';

const schema = JSON.parse(readFileSync(new URL('../../docs/report.schema.json', import.meta.url), 'utf8'));
// `required` beside `if` and null among types are meant
const validate = new Ajv2020({ strict: true, allowUnionTypes: true, strictTypes: false }).compile(schema);

const makeRun = await runMaker();
const jsonOf = (run: ReportedRun) => JSON.parse(JSON.stringify(reportJson(run)));

function expectValid(report: unknown): void {
  const valid = validate(report);
  expect(validate.errors ?? []).toEqual([]);
  expect(valid).toBe(true);
}

describe('a report for scripts', () => {
  let comparison: ReportedRun;
  let resistance: ReportedRun;
  let corrected: ReportedRun;
  beforeAll(async () => {
    comparison = await fixtureRun('comparison-four-sets.rec');
    resistance = await fixtureRun('internal-resistance.rec');
    corrected = await fixtureRun('operator-words.rec');
  });

  it('keeps to its schema for every fixture', () => {
    for (const run of [comparison, resistance, corrected]) expectValid(jsonOf(run));
  });

  it('gives every number of the view at full precision, none lost on the way to JSON', () => {
    for (const run of [comparison, resistance, corrected]) {
      expect(jsonOf(run)).toEqual(reportJson(run));
      const { outcome, sets } = run.view.work;
      expect(jsonOf(run).result.value).toBe(outcome?.result?.value);
      expect(jsonOf(run).sets).toEqual(sets);
    }
  });

  it('gives the interval of the average over models, and whether a Monte Carlo run agrees', () => {
    const averaged = { intervalBy: 'model-average', model: 2, dof: null };
    expect(jsonOf(comparison)).toMatchObject({ result: averaged, check: { agrees: true } });
    const vague = { ...eye(2, 1, 5, 30), uCm: 150 };
    const skew = jsonOf(runOfEvents([{ kind: 'bench', bench: INVENTED_BENCH }, eye(1, 1, 6, 40), vague]));
    expectValid(skew);
    expect(skew).toMatchObject({ result: averaged, check: { agrees: false } });
    expect(skew.check.high).toBeGreaterThan(skew.result.value + skew.result.U);
  });

  it('has value and standard uncertainty of the live view whatever the check says', () => {
    const fold = makeRun([]);
    const bench = { kind: 'bench', bench: INVENTED_BENCH };
    for (const [ms, event] of [bench, eye(1, 1, 6, 40), eye(2, 1, 5, 30)].entries())
      fold.addRecord({ ms, mark: '!', payload: JSON.stringify(event) });
    const live = fold.view().work.outcome;
    const checked = jsonOf(reportedRun(fold, fingerprintOf('')));
    expect(live?.check).toBeNull();
    expect(checked.check.trials).toBeGreaterThan(0);
    expect([checked.result.value, checked.result.u]).toEqual([live?.result?.value, live?.result?.u]);
  });

  it('names the quantity and unit of each procedure', () => {
    expect(jsonOf(comparison).result).toMatchObject({ quantity: 'E1/E2', unit: '1', coverage: 0.95 });
    expect(jsonOf(resistance).result).toMatchObject({ quantity: 'r', unit: 'ohm', coverage: 0.95 });
    expect(jsonOf(resistance).sets[0]).toMatchObject({ set: 1, loadOhm: 10 });
  });

  it('lists the formula’s symbols in budget and constants', () => {
    for (const run of [comparison, resistance]) {
      const { result, budget } = jsonOf(run);
      const known = new Set([
        ...budget.map((row: { symbol: string }) => row.symbol),
        ...Object.keys(result.constants),
      ]);
      for (const symbol of result.formula.match(/[a-zA-Z]\w*/g)) expect(known).toContain(symbol);
    }
  });

  it('says why there is no result: nothing recorded, no null, one cell only', () => {
    const bench = { kind: 'bench', bench: INVENTED_BENCH };
    const empty = [
      runOf([]),
      runOfEvents([bench]),
      runOfEvents([bench, { kind: 'procedure', procedure: 'internal-resistance' }]),
      runOfEvents([bench, eye(1, 1, 6, 40)]),
      runOfEvents([{ kind: 'bench', bench: { ...INVENTED_BENCH, wire: {} } }]),
    ];
    for (const run of empty) {
      const report = jsonOf(run);
      expectValid(report);
      expect(report).toMatchObject({ result: null, endCorrectionCm: null, budget: [] });
      expect(report.findings.length).toBeGreaterThan(0);
    }
  });

  it('writes null for the degrees of freedom, which an average has not, and k as U over u', () => {
    const lengths = [eye(1, 1, 6, 40), eye(2, 1, 5, 30), eye(1, 2, 8, 20), eye(2, 2, 6, 1.1)];
    const report = jsonOf(runOfEvents([{ kind: 'bench', bench: INVENTED_BENCH }, ...lengths]));
    expectValid(report);
    expect(report.result).not.toBeNull();
    expect(report.result.dof).toBeNull();
    expect(report.result.k).toBeCloseTo(report.result.U / report.result.u, 12);
    expect(report.result.singleModel.probability).toBeGreaterThan(0);
    const squares = report.budget.map(({ contribution }: { contribution: number }) => contribution ** 2);
    const sum = squares.reduce((total: number, square: number) => total + square, 0);
    expect(Math.sqrt(sum) / report.result.u).toBeCloseTo(1, 9);
  });

  it('gives the EMF by a reference cell, and the wire as a measure of voltage', () => {
    const lengths = [eye(1, 1, 6, 40), eye(2, 1, 4, 30), eye(1, 2, 8, 20), eye(2, 2, 5, 75)];
    const weston = { emfV: 1.01865, standardUncertaintyV: 2e-5, weston: { temperatureC: 24 } };
    const bench = { ...INVENTED_BENCH, cells: { '1': {}, '2': { reference: weston } } };
    const report = jsonOf(runOfEvents([{ kind: 'bench', bench }, ...lengths]));
    expectValid(report);
    expect(report.result).toMatchObject({ quantity: 'E1/E2', unit: '1' });
    expect(report.emf.result).toMatchObject({ quantity: 'E1', unit: 'V' });
    expect(report.emf.result.value).toBeCloseTo(report.result.value * report.referenceCells[0].emfV, 9);
    expect(report.wireLines).toHaveLength(2);
    expect(jsonOf(comparison)).toMatchObject({ emf: null, referenceCells: [], wireLines: [] });
  });

  it('would notice a report that breaks the schema', () => {
    const report = jsonOf(comparison);
    expect(validate({ ...report, sets: [{ set: 1 }] })).toBe(false);
    expect(validate({ ...report, result: { ...report.result, u: null } })).toBe(false);
    expect(validate({ ...report, stream: { ...report.stream, boots: -1 } })).toBe(false);
  });
});
