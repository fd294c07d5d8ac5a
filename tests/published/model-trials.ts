import { type MeasurementModel, scopeOf } from '../../bridge/calc-core/propagate.ts';
import { randomDraws } from '../../bridge/calc-core/random-draws.ts';

/** One trial of a measurement model at a time: every component of every effect drawn from its distribution (JCGM 101, 7.3). */
export function modelTrials(model: MeasurementModel, seed: number): () => number {
  const draws = randomDraws(seed);
  const components = model.effects.flatMap((effect) =>
    effect.columns.map((column) => ({
      draw: draws.of(effect.distribution, effect.dof),
      moves: [...column.entries()].filter(([, step]) => step !== 0),
    })),
  );
  const scope = scopeOf(model);
  const { inputs, formula } = model;
  return () => {
    for (const input of inputs) scope[input.symbol] = input.estimate;
    for (const { draw, moves } of components) {
      const size = draw();
      for (const [index, step] of moves) scope[inputs[index].symbol] += size * step;
    }
    return formula.value(scope);
  };
}
