import { describe, expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { Run } from '../../bridge/run/run.ts';
import type { GuidanceView } from '../../bridge/run/view.ts';
import { COMPARISON, INTERNAL_RESISTANCE, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { createLiveBench } from '../../bridge/simulate/live-bench.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import type { Switches } from '../../bridge/simulate/steps.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';

/** Where the page sends the hand before a null is found, against where the null really was. */

const formulas = await loadFormulas();

interface Sent {
  basis: GuidanceView['basis'];
  offCm: number;
  withinCm: number;
  load: boolean;
}

/** Guidance about once a second, while the cell in circuit has no fine null yet in its set. */
function sentIn(scene: Scene): Sent[] {
  const switches = switchesOf(scene);
  const fold = new Run({ formulas });
  const sent: Sent[] = [];
  let samples = 0;
  for (const record of simulateRun(scene)) {
    fold.addRecord(record);
    if (record.mark !== '<') continue;
    samples += 1;
    if (samples % 190 !== 0) continue;
    const { guidance, durationS, labels, nulls } = fold.view();
    const keys = switches[Math.min(switches.length - 1, Math.round(durationS * scene.board.rateHz))];
    if (!keys.keyClosed || keys.cell === 0 || labels.cell.value !== keys.cell) continue;
    if (labels.load.value !== keys.load) continue;
    const known = nulls.some(
      ({ fine, cell, load, set }) =>
        fine && cell === keys.cell && load === keys.load && set === labels.set.value,
    );
    const truth = trueLengthCm(scene, keys, durationS);
    if (known || guidance === null || truth === null) continue;
    sent.push({
      basis: guidance.basis,
      offCm: Math.abs(guidance.lengthCm - truth),
      withinCm: guidance.withinCm,
      load: keys.load,
    });
  }
  return sent;
}

function switchesOf(scene: Scene): Switches[] {
  const live = createLiveBench(scene);
  const states: Switches[] = [];
  for (let index = 0; ; index += 1) {
    const { switches, finished } = live.advance(index / scene.board.rateHz);
    states.push({ ...switches });
    if (finished) return states;
  }
}

const NOTHING = { contact: false, cellKey: false, protect: false, row: false, load: false };
const task = { ...COMPARISON, rheostatOhm: [1.2, 7.9] };

describe.each([
  { board: 'that senses all', senses: {} },
  { board: 'that senses nothing', senses: NOTHING },
])('on a board $board', ({ senses }) => {
  const sent = sentIn(
    sceneWith({ seed: 3, task, board: { senses }, frontEnd: { position: { scaleErrorCm: 0 } } }),
  );

  test('the null lies within what is promised, nineteen times in twenty', () => {
    expect(sent.length).toBeGreaterThan(30);
    const held = sent.filter(({ offCm, withinCm }) => offCm <= withinCm);
    expect(held.length / sent.length).toBeGreaterThan(0.95);
  });

  test('a coarse null sends the hand to within a millimetre or two, the voltmeter to within a few centimetres', () => {
    const worst = (basis: Sent['basis']) =>
      Math.max(...sent.filter((one) => one.basis === basis).map(({ offCm }) => offCm));
    expect(worst('coarse-null')).toBeLessThan(0.2);
    expect(worst('voltmeter')).toBeLessThan(5);
  });
});

test('under load the null is foretold on its own side of the open one, and from the second set on by r itself', () => {
  const scene = sceneWith({ seed: 3, task: { ...INTERNAL_RESISTANCE, passes: 2 } });
  const sent = sentIn(scene).filter(({ load }) => load);
  expect(sent.length).toBeGreaterThan(10);
  const held = sent.filter(({ offCm, withinCm }) => offCm <= withinCm);
  expect(held.length / sent.length).toBeGreaterThan(0.95);
  const byThen = sent.filter(({ basis }) => basis === 'earlier-sets');
  expect(byThen.length).toBeGreaterThan(0);
  expect(Math.max(...byThen.map(({ offCm }) => offCm))).toBeLessThan(1);
});
