import {
  addDependencies,
  cosDependencies,
  create,
  derivativeDependencies,
  divideDependencies,
  expDependencies,
  logDependencies,
  type MathNode,
  multiplyDependencies,
  parseDependencies,
  powDependencies,
  sinDependencies,
  sqrtDependencies,
  subtractDependencies,
  sumDependencies,
  unaryMinusDependencies,
} from 'mathjs/number';
import type { Formula, Formulas, Scope } from './formula.ts';
import { mathMl } from './mathml.ts';
import { RecentlyUsed } from './recently-used.ts';

/** Import this file only through `loadFormulas`: it pulls in the library. */

/** Each number of sets has a formula of its own: a run with many sets would fill memory with those of its past. */
const MOST_KNOWN = 16;

/** Formulas that remember what they compiled: a live result evaluates the same few shapes again and again. */
export function mathjsFormulas(): Formulas {
  const math = create({
    addDependencies,
    cosDependencies,
    derivativeDependencies,
    divideDependencies,
    expDependencies,
    logDependencies,
    multiplyDependencies,
    parseDependencies,
    powDependencies,
    sinDependencies,
    sqrtDependencies,
    subtractDependencies,
    sumDependencies,
    unaryMinusDependencies,
  });
  const known = new RecentlyUsed<Formula>(MOST_KNOWN);

  function compile(text: string): Formula {
    const node = math.parse(text);
    const whole = node.compile();
    const partials = new Map<string, ReturnType<MathNode['compile']>>();
    const partialOf = (symbol: string) => {
      const found = partials.get(symbol) ?? math.derivative(node, symbol, { simplify: false }).compile();
      partials.set(symbol, found);
      return found;
    };
    let markup: string | null = null;
    return {
      text,
      value: (scope: Scope) => whole.evaluate({ ...scope }),
      partial: (symbol, scope) => partialOf(symbol).evaluate({ ...scope }),
      mathMl: () => {
        markup ??= mathMl(node);
        return markup;
      },
    };
  }

  return { compile: (text) => known.get(text, () => compile(text)) };
}
