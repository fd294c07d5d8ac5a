import type { FullKnowledge } from './assumed-sizes.ts';
import type { AveragingTask } from './averaged-outcome.ts';
import type { Effect } from './effects.ts';
import { withTurns } from './length-effects.ts';
import type { LoadEntry, LoadInputs } from './load-entries.ts';
import type { Message } from './message.ts';
import type { LoadResistance } from './outcome.ts';
import { uncertaintyOf } from './set-uncertainty.ts';

/** The measurement model of an internal resistance: r = Σ w·(l0 - l) / Σ w·(l + α)/R, with the weights of the fit. */

export function loadTask(
  inputs: LoadInputs,
  effects: readonly Effect[],
  bench: FullKnowledge,
  method: Message,
): AveragingTask {
  return {
    quantity: { quantity: 'r', unit: 'ohm' },
    sets: inputs.entries.map(({ set, l0At, lAt, loadAt }) => ({
      set: set.set,
      upper: withTurns(set.l0, bench),
      lower: withTurns(set.l, bench),
      upperAt: l0At,
      lowerAt: lAt,
      offset: 1,
      slope: 1 / set.loadOhm,
      slopeRate: -1 / set.loadOhm ** 2,
      thirdAt: loadAt,
    })),
    lengths: inputs.lengths,
    effects,
    inputs: [
      ...inputs.lengths.map(({ symbol, length }) => ({ symbol, estimate: withTurns(length, bench) })),
      ...inputs.loadsOhm.map((estimate, index) => ({ symbol: `R_${index + 1}`, estimate })),
    ],
    bench,
    formula: formulaText(inputs),
    weightNames: inputs.entries.map(({ label }) => `w_${label}`),
    method,
  };
}

function formulaText({ entries, lengths, loadsOhm }: LoadInputs): string {
  const symbols = entries.map(({ label, l0At, lAt, set }) => ({
    w: `w_${label}`,
    l0: lengths[l0At].symbol,
    l: lengths[lAt].symbol,
    R: `R_${loadsOhm.indexOf(set.loadOhm) + 1}`,
  }));
  if (symbols.length === 1) {
    const [{ l0, l, R }] = symbols;
    return `${R}*((${l0} + alpha)/(${l} + alpha) - 1)`;
  }
  const over = symbols.map(({ w, l0, l }) => `${w}*(${l0} - ${l})`).join(' + ');
  const under = symbols.map(({ w, l, R }) => `${w}*(${l} + alpha)/${R}`).join(' + ');
  return `(${over})/(${under})`;
}

/** R·(l0/l - 1) of one set, end correction not applied. */
export function setResistance({ set, l0At, lAt, loadAt }: LoadEntry, task: AveragingTask): LoadResistance {
  const { loadOhm } = set;
  const ratio = set.l0.lengthCm / set.l.lengthCm;
  const rates = task.inputs.map((_, at) => {
    if (at === l0At) return loadOhm / set.l.lengthCm;
    if (at === lAt) return (-loadOhm * ratio) / set.l.lengthCm;
    return at === loadAt ? ratio - 1 : 0;
  });
  return { set: set.set, loadOhm, rOhm: loadOhm * (ratio - 1), uROhm: uncertaintyOf(rates, task) };
}
