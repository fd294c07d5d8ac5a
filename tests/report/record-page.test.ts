import type { Browser, Page } from 'playwright-core';
import { linearRegression } from 'simple-statistics';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { resultText } from '../../bridge/calc-core/rounding.ts';
import { message } from '../../bridge/messages/catalogue.ts';
import { compareWithNominal } from '../../bridge/report/nominal.ts';
import { recordPage, shortRecordPage } from '../../bridge/report/page/record-page.tsx';
import { rankedSources } from '../../bridge/report/page/sources.tsx';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { launchChromium } from '../end-to-end/browser.ts';
import { comparisonOf } from '../run/work-of.ts';
import { eye, fixtureRun, runOfEvents } from './runs.ts';

const HEADINGS = [
  'Aim and principle',
  'Apparatus',
  'Circuit',
  'Connection check',
  'Observations',
  'Plots of the nulls',
  'Plot of the balancing lengths',
  'Calculation',
  'Uncertainty budget',
  'Result',
  'Findings',
  'Sources of error',
  'Cautions and precautions',
];

/** Printable width in CSS pixels at the margins of the sheet: A4 and Letter at 96 pixels an inch. */
const WIDTHS = { A4: Math.floor(((210 - 28) / 25.4) * 96), Letter: Math.floor((8.5 - 28 / 25.4) * 96) };

describe('the record of a run', () => {
  const fixtures: Record<string, ReportedRun> = {};
  let browser: Browser;
  let page: Page;
  beforeAll(async () => {
    for (const name of ['comparison-four-sets', 'internal-resistance', 'operator-words'])
      fixtures[name] = await fixtureRun(`${name}.rec`);
    browser = await launchChromium();
    page = await browser.newPage({ locale: 'en-US' });
  });
  afterAll(() => browser?.close());

  it('is one file: nothing is fetched, nothing runs', async () => {
    for (const run of Object.values(fixtures)) {
      const html = recordPage(run);
      expect(html).not.toMatch(/<script|<link|<img|<iframe|url\(|@import|\son\w+=/i);
      const asked: string[] = [];
      const listen = (request: { url(): string }) => asked.push(request.url());
      page.on('request', listen);
      await page.setContent(html, { waitUntil: 'networkidle' });
      page.off('request', listen);
      expect(asked).toEqual([]);
    }
  });

  it('has every part of a record, in order', async () => {
    for (const run of Object.values(fixtures)) {
      await page.setContent(recordPage(run));
      expect(await page.locator('h2').allTextContents()).toEqual(HEADINGS);
      expect(await page.locator('svg.circuit').count()).toBe(1);
    }
  });

  it('is short with the result and what calls for a look', async () => {
    const runs = { ...fixtures, 'reference-cell': await fixtureRun('reference-cell.rec') };
    for (const { view, ...run } of Object.values(runs)) {
      await page.setContent(shortRecordPage({ view, ...run }));
      const result = view.work.outcome?.result;
      if (result == null) throw new Error('these fixtures have a result');
      expect(await page.locator('.statement').first().textContent()).toContain(resultText(result));
      const looks = view.findings.filter(({ severity }) => severity !== 'note').length;
      expect(await page.locator('.findings li').count()).toBe(looks);
      expect(await page.locator('svg.circuit').count()).toBe(1);
    }
  });

  it('leads its calculation with the straight line through the sets, as a fit of its own finds it', () => {
    const run = fixtures['comparison-four-sets'];
    const points = comparisonOf(run.view).sets.map(({ l1Cm, l2Cm }) => [l2Cm ?? 0, l1Cm ?? 0]);
    // A general-purpose library fits the same line.
    const { m, b } = linearRegression(points);
    const text = recordPage(run)
      .replace(/<[^>]*>/g, '')
      .replace(/\s+/g, ' ');
    const [, slope, intercept] =
      /give the slope ([\d.]+) ± [\d.]+ and the intercept ([−\d.]+) ±/.exec(text) ?? [];
    expect(Number(slope)).toBeCloseTo(m, 4);
    expect(Number(intercept?.replace('−', '-'))).toBeCloseTo(b, 1);
    expect(text.indexOf('By a straight line')).toBeLessThan(text.indexOf('Adopted'));
  });

  it('prints the result as the GUM rounds it, at the head and where it is worked out', async () => {
    for (const run of Object.values(fixtures)) {
      const result = run.view.work.outcome?.result;
      if (result == null) throw new Error('these fixtures have a result');
      await page.setContent(recordPage(run));
      const statements = await page.locator('.statement').allTextContents();
      expect(statements.length).toBe(2);
      for (const text of statements) expect(text).toContain(resultText(result));
    }
  });

  it('ranks the sources of error, and says what U would be without each', async () => {
    const run = fixtures['comparison-four-sets'];
    const result = run.view.work.outcome?.result;
    if (result == null) throw new Error('this fixture has a result');
    await page.setContent(recordPage(run));
    const table = page.locator('table', { hasText: 'U without it' });
    const cells = await table.locator('tbody tr').first().locator('td').allTextContents();
    expect(cells[0]).toContain('end correction');
    const alpha = result.budget.find(({ symbol }) => symbol === 'alpha')?.contribution ?? 0;
    const without = result.k * Math.sqrt(result.u ** 2 - alpha ** 2);
    expect(Number(cells[2]) / without).toBeCloseTo(1, 1);
    expect(Number(cells[2])).toBeLessThan(result.U);
  });

  it('shows every null, and why one does not count', async () => {
    const run = fixtures['comparison-four-sets'];
    await page.setContent(recordPage(run));
    const text = await page.locator('main').textContent();
    for (const found of run.view.nulls) expect(text).toContain(found.id);
    expect(text).toContain('no: protective resistance in');
    expect(await page.locator('.panels figure').count()).toBe(2 * run.view.work.sets.length);
  });

  it('fits A4 and Letter: nothing is wider than the sheet', async () => {
    await page.emulateMedia({ media: 'print' });
    for (const run of Object.values(fixtures)) {
      await page.setContent(recordPage(run));
      for (const width of Object.values(WIDTHS)) {
        await page.setViewportSize({ width, height: 1000 });
        const widest = await page.evaluate(() =>
          Math.max(
            ...[...document.querySelectorAll('main *')].map(
              (element) => element.getBoundingClientRect().right,
            ),
          ),
        );
        expect(widest).toBeLessThanOrEqual(width + 1);
      }
    }
    await page.emulateMedia({ media: null });
  });

  it('is open to everyone: no violation that axe-core finds (WCAG 2 A and AA)', async () => {
    const { source } = (await import('axe-core')).default;
    for (const run of Object.values(fixtures)) {
      await page.setContent(recordPage(run));
      await page.evaluate(source);
      const violations = await page.evaluate(async () => {
        const { axe } = window as unknown as { axe: typeof import('axe-core') };
        const found = await axe.run({ runOnly: ['wcag2a', 'wcag2aa'] });
        return found.violations.map((violation) => `${violation.id}: ${violation.nodes[0].html}`);
      });
      expect(violations).toEqual([]);
    }
  });

  it('prints texts as texts, whatever markup they hold', async () => {
    const evil = '<script>document.title = "taken"</script><img src=x onerror=alert(1)>';
    const run = runOfEvents([
      {
        kind: 'bench',
        bench: { ...INVENTED_BENCH, name: evil, cells: { '1': { label: evil }, '2': { label: evil } } },
      },
      { kind: 'about', by: [evil], startedUtc: evil },
      { kind: 'length', cell: 1, set: 1, row: 6, scaleCm: 40, uCm: 0.05 },
      { kind: 'reject', null: 'n1', reason: evil },
      { kind: 'note', text: evil },
    ]);
    await page.setContent(recordPage(run));
    expect(await page.locator('script, img').count()).toBe(0);
    expect(await page.title()).toContain('<script>');
    expect(await page.locator('main').textContent()).toContain(`no: rejected: ${evil}`);
  });

  it('stands for a run without nulls, bench or anything, and says what is missing', () => {
    for (const events of [
      [],
      [{ kind: 'bench', bench: INVENTED_BENCH }],
      [{ kind: 'procedure', procedure: 'internal-resistance' }],
    ]) {
      const html = recordPage(runOfEvents(events));
      expect(html).toContain('No result: the findings say why.');
      expect(html).not.toMatch(/NaN|undefined|Infinity/);
    }
  });

  it('says whether a Monte Carlo run gives the interval that is stated', () => {
    const sound = fixtures['comparison-four-sets'];
    expect(recordPage(sound)).toContain('It agrees with the one stated');
    const k = sound.view.work.outcome?.result?.k ?? 0;
    expect(recordPage(sound)).toContain(`k = ${k.toFixed(2)}, 95 %`);
    const vague = { ...eye(2, 1, 5, 30), uCm: 150 };
    const skew = recordPage(runOfEvents([{ kind: 'bench', bench: INVENTED_BENCH }, eye(1, 1, 6, 40), vague]));
    expect(skew).toContain('A Monte Carlo run gives another interval');
    expect(skew).not.toContain('It agrees with the one stated');
  });

  it('shows what a reference cell gives, how its EMF is known, and how it must be treated', async () => {
    const weston = { emfV: 1.01865, standardUncertaintyV: 2e-5, weston: { temperatureC: 24 } };
    const cells = {
      '1': { label: 'the unknown', voltmeterV: 1.52 },
      '2': { label: 'the known', reference: weston },
    };
    const lengths = [eye(1, 1, 6, 40), eye(2, 1, 4, 30), eye(1, 2, 8, 20), eye(2, 2, 5, 77)];
    const run = runOfEvents([
      { kind: 'bench', bench: { ...INVENTED_BENCH, protectiveResistanceOhm: 100_000, cells } },
      ...lengths,
    ]);
    const emf = comparisonOf(run.view).emf?.result;
    if (emf == null) throw new Error('these lengths give an EMF');
    await page.setContent(recordPage(run));
    const section = page.locator('section', { has: page.getByText('EMF by the reference cell') });
    const text = (await section.textContent()) ?? '';
    expect(text).toContain(resultText(emf));
    expect(text).toMatch(/Monte Carlo run.*\(JCGM 101:2008, \d+ trials\)/);
    expect(text).toContain('1.01865 V at 20 °C brought to 24 °C (Hamer, Skapars, Field');
    expect(text).toContain('By the voltmeter: 1.520 ± 0.012 V');
    expect(await section.locator('tbody tr').count()).toBe(2);
    const cautions =
      (await page.getByRole('heading', { name: 'Cautions', exact: true }).locator('..').textContent()) ?? '';
    expect(cautions).toContain('Never read a reference cell with an ordinary voltmeter.');
    expect(recordPage(fixtures['comparison-four-sets'])).not.toContain('EMF by the reference cell');
  });

  it('ranks the sources of error by their share of this run’s variance', () => {
    const { result } = fixtures['comparison-four-sets'].view.work.outcome ?? {};
    if (result == null) throw new Error('this fixture has a result');
    const ranked = rankedSources(result.budget);
    const variances = ranked.map(({ variance }) => variance);
    expect(variances).toEqual([...variances].sort((a, b) => b - a));
    expect(variances.reduce((sum, variance) => sum + variance, 0)).toBeCloseTo(result.u ** 2, 15);
    expect(ranked.map(({ source }) => source)).not.toContain('other');
  });

  it('is the same for the same recording', async () => {
    const again = await fixtureRun('operator-words.rec');
    expect(recordPage(again)).toBe(recordPage(fixtures['operator-words']));
  });
});

describe('comparison with the voltmeter', () => {
  const result = {
    quantity: 'E1/E2',
    unit: '1',
    value: 1.15,
    u: 0.001,
    dof: null,
    intervalBy: 'model-average',
    model: 2,
    atS: null,
    singleModel: { value: 1.15, u: 0.001, probability: 1 },
    k: 2,
    U: 0.002,
    coverage: 0.95,
  } as const;
  const full = {
    ...result,
    method: message('method-one-set'),
    formula: '',
    mathMl: '',
    constants: {},
    budget: [],
  };

  // GUM 4.3.7: half-width a, u = a/√3; here a is half the least count
  it('takes half a least count as the half-width of a rectangular distribution', () => {
    const found = compareWithNominal(INVENTED_BENCH, [], full);
    const u = 0.01 / Math.sqrt(3);
    const relative = Math.hypot(u / 1.54, u / 1.34);
    expect(found?.nominal).toBeCloseTo(1.54 / 1.34, 12);
    expect(found?.U).toBeCloseTo((2 * relative * 1.54) / 1.34, 12);
    expect(found?.differenceU).toBeCloseTo(Math.hypot(found?.U ?? 0, 0.002), 12);
  });

  it('prefers certificates, and uses no voltmeter reading of a reference cell', () => {
    const reference = (cell: 1 | 2, emfV: number) => ({
      cell,
      emfV,
      uEmfV: 0.0005,
      weston: null,
      trouble: null,
    });
    const found = compareWithNominal(INVENTED_BENCH, [reference(1, 1.5), reference(2, 1.3)], full);
    expect(found).toMatchObject({ by: 'certificates', volts: [1.5, 1.3] });
    expect(found?.U).toBeCloseTo(2 * (1.5 / 1.3) * Math.hypot(0.0005 / 1.5, 0.0005 / 1.3), 12);
    const certified = { reference: { emfV: 1.3, standardUncertaintyV: 0.0005 }, voltmeterV: 1.34 };
    const bench = { ...INVENTED_BENCH, cells: { '1': { voltmeterV: 1.54 }, '2': certified } };
    expect(compareWithNominal(bench, [reference(2, 1.3)], full)).toBeNull();
    const emf = { ...full, quantity: 'E1', unit: 'V', value: 1.53 } as const;
    expect(compareWithNominal(bench, [reference(2, 1.3)], emf)).toMatchObject({
      by: 'voltmeter',
      nominal: 1.54,
    });
  });

  it('is left out where nothing was read, and claims nothing without a least count', () => {
    expect(compareWithNominal({ ...INVENTED_BENCH, cells: undefined }, [], full)).toBeNull();
    expect(compareWithNominal({ ...INVENTED_BENCH, voltmeter: undefined }, [], full)?.differenceU).toBeNull();
    expect(compareWithNominal(INVENTED_BENCH, [], { ...full, quantity: 'r' })).toBeNull();
  });
});
