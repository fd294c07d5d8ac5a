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

/** Import this file only through `loadFormulas`: it pulls in the library. */

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
  const known = new Map<string, Formula>();

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

  return {
    compile(text) {
      const formula = known.get(text) ?? compile(text);
      known.set(text, formula);
      return formula;
    },
  };
}
