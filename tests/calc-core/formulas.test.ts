import { describe, expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';

const formulas = await loadFormulas();

describe('formulas', () => {
  const scope = { E_ref: 1.0186, l_1_2: 743.2, l_2_2: 621.7, alpha: 0.4, R_1: 5, l0_1: 800 };

  test.each([
    'E_ref*(l_1_2 + alpha)/(l_2_2 + alpha)',
    'R_1*((l0_1 + alpha)/(l_1_2 + alpha) - 1)',
    'sqrt(l_1_2)*exp(alpha)/log(l_2_2)^2',
  ])('derivatives of %s are those of central differences', (text) => {
    const formula = formulas.compile(text);
    for (const [symbol, value] of Object.entries(scope)) {
      const step = 1e-5 * value;
      const difference =
        (formula.value({ ...scope, [symbol]: value + step }) -
          formula.value({ ...scope, [symbol]: value - step })) /
        (2 * step);
      expect(formula.partial(symbol, scope)).toBeCloseTo(difference, 6);
    }
  });

  test('print: subscripts, fractions and brackets where they are needed', () => {
    const formula = formulas.compile('R_1*((l0_1 + alpha)/(l_1_2 - alpha) - 1)');
    expect(formula.mathMl()).toBe(
      '<math display="block"><mrow><msub><mi>R</mi><mtext>1</mtext></msub><mo>·</mo><mrow><mo>(</mo><mrow>' +
        '<mfrac><mrow><msub><mi>l</mi><mtext>0,1</mtext></msub><mo>+</mo><mi>α</mi></mrow>' +
        '<mrow><msub><mi>l</mi><mtext>1,2</mtext></msub><mo>−</mo><mi>α</mi></mrow></mfrac>' +
        '<mo>−</mo><mn>1</mn></mrow><mo>)</mo></mrow></mrow></math>',
    );
    expect(formulas.compile('sqrt(x^2)').mathMl()).toContain(
      '<mi>sqrt</mi><mo>(</mo><msup><mrow><mi>x</mi></mrow><mn>2</mn></msup>',
    );
    expect(formulas.compile('-x').mathMl()).toContain('<mo>−</mo><mi>x</mi>');
  });

  test('a scope is not changed, and a text is compiled once', () => {
    const frozen = Object.freeze({ x: 2 });
    expect(formulas.compile('x^2').value(frozen)).toBe(4);
    expect(formulas.compile('x^2')).toBe(formulas.compile('x^2'));
  });
});
