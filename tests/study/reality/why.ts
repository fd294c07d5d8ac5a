import { type Conditions, drawExperiment, type Experiment } from './experiment.ts';
import { EFFECTS, type EffectName } from './sizes.ts';
import type { Trial } from './trial.ts';

/** Where the error of one run comes from: the same bench and run again, without one effect after the other. */

const plainRatio = ({ sets }: Experiment): number =>
  sets.reduce((sum, { l1, l2 }) => sum + l1.lengthCm / l2.lengthCm, 0) / sets.length;

const plainError = (conditions: Conditions, seed: number): number => {
  const experiment = drawExperiment(conditions, seed);
  return plainRatio(experiment) / experiment.truth - 1;
};

/** What each effect does to the plain mean, relative; largest first. None where only some benches are taken: there it can't be told. */
function shares(conditions: Conditions, seed: number): [EffectName, number][] {
  const { sizes, endCm } = conditions;
  if (endCm !== undefined) return [];
  const whole = plainError(conditions, seed);
  const without = (effect: EffectName): Conditions => ({
    ...conditions,
    sizes: (chance) => ({ ...(typeof sizes === 'function' ? sizes(chance) : sizes), [effect]: 0 }),
  });
  return EFFECTS.map((effect): [EffectName, number] => [
    effect,
    whole - plainError(without(effect), seed),
  ]).sort(([, a], [, b]) => Math.abs(b) - Math.abs(a));
}

const small = (value: number | null): string => (value ?? Number.NaN).toExponential(1);

export function missLine(conditions: Conditions, seed: number, trial: Trial): string {
  const { error, plainError: plain, relativeU, alarms, reality } = trial;
  const { design, statement, endCm, blunder, jumped } = reality;
  const why = shares(conditions, seed)
    .slice(0, 3)
    .map(([effect, share]) => `${effect} ${small(share)}`)
    .join(', ');
  const run = `${statement}, ${design.sets} × ${design.order}, ${design.minutes.toFixed(0)} min${design.byEye ? ', by eye' : ''}`;
  const wrong = `${blunder ?? ''}${jumped ? 'jump' : ''}`;
  return `    seed ${seed}: error ${small(error)}, U ${small(relativeU)}, plain ${small(plain)}; ${run}; end ${endCm.toFixed(2)} cm; ${why}; ${wrong} [${alarms.join(', ')}]`;
}
