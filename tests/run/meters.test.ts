import { describe, expect, it } from 'vitest';
import type { RunView } from '../../bridge/run/view.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { eye } from '../report/runs.ts';

/** Blunders of a run by eye that meters, scale or words tell. */

const makeRun = await runMaker();

function runOfEvents(events: readonly object[], bench: object = INVENTED_BENCH): RunView {
  const fold = makeRun([]);
  for (const [ms, event] of [{ kind: 'bench', bench }, ...events].entries())
    fold.addRecord({ ms, mark: '!', payload: JSON.stringify(event) });
  return fold.view();
}

const findingsText = (view: RunView): string =>
  view.findings
    .filter(({ code }) => code === 'meters-disagree')
    .map(({ text }) => text)
    .join(' ');
const ammeter = (readingMa: number) => ({ kind: 'ammeter', readingMa });

// The invented bench: 1.54 V and 1.34 V by the voltmeter, 19.6 ohm over 1000 cm. At 92.1 mA they balance near 853 and 742 cm.
const FIRST = eye(1, 1, 9, 53);
const SECOND = eye(2, 1, 8, 58);

describe('the meters against the nulls', () => {
  it('are at peace with a sound set', () => {
    expect(findingsText(runOfEvents([ammeter(92.1), FIRST, SECOND]))).toBe('');
  });

  it('show cells that were exchanged, one cell balanced twice, and a misread row', () => {
    const exchanged = [eye(2, 1, 9, 53), eye(1, 1, 8, 58)];
    expect(findingsText(runOfEvents(exchanged))).toContain('The cells were exchanged');
    expect(findingsText(runOfEvents([eye(1, 1, 9, 53), eye(2, 1, 9, 53)]))).toContain(
      'same cell balanced twice',
    );
    expect(findingsText(runOfEvents([eye(1, 1, 10, 53), SECOND]))).toContain('misread row');
  });

  it('show an ammeter read by its wrong scale, and name the set', () => {
    const text = findingsText(runOfEvents([ammeter(921), FIRST, SECOND]));
    expect(text).toContain('Set 1: by the ammeter (921.0 mA)');
    expect(text).toContain('15.40 V');
  });

  it('show a driver that reads less than a cell whose null lies on the wire', () => {
    expect(
      findingsText(runOfEvents([FIRST, SECOND], { ...INVENTED_BENCH, driver: { emfV: 1.4 } })),
    ).toContain('By the voltmeter the driver (1.4 V) does not read more than cell 1');
  });
});

describe('a length off the wire', () => {
  it.each([
    [eye(1, 1, 11, 43), 'there is no row 11: the wire has 10'],
    [eye(1, 1, 8, 432), 'the scale reading 432.0 cm lies off the wire, whose rows are 100 cm long'],
    [eye(1, 1, 8, -3), 'the scale reading -3.0 cm lies off the wire, whose rows are 100 cm long'],
  ])('does not count: %j', (length, why) => {
    const view = runOfEvents([length]);
    expect(view.nulls[0]).toMatchObject({ used: false, whyNot: { text: why } });
  });

  it('may lie a little beyond the marks', () => {
    expect(runOfEvents([eye(1, 1, 8, 100.3)]).nulls[0].used).toBe(true);
  });
});

it('an ammeter reading goes with the set it was read for, where no sample tells the time', () => {
  const view = runOfEvents([ammeter(92.1), FIRST, SECOND, ammeter(110), eye(1, 2, 8, 86), eye(2, 2, 7, 20)]);
  expect(view.work.sets.map(({ driverMa }) => driverMa)).toEqual([92.1, 110]);
});

it('a load without a recorded resistance is asked for', () => {
  const procedure = { kind: 'procedure', procedure: 'internal-resistance' };
  const loaded = [{ kind: 'load', in: true }, eye(1, 1, 9, 20)];
  const view = runOfEvents([procedure, { kind: 'load', in: false }, FIRST, ...loaded]);
  expect(view.findings.map(({ text }) => text).join(' ')).toContain(
    'Set 1: the resistance of the load is not known',
  );
});
