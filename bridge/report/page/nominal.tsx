import type { Bench } from '../../bench/bench-file.ts';
import { plusMinus, significant } from '../../calc-core/rounding.ts';
import type { NominalComparison } from '../nominal.ts';
import { voltsText } from './volts.ts';

/** The result beside certificates or voltmeter readings, and whether they agree. */
export function Nominal({ nominal, bench }: { nominal: NominalComparison; bench: Bench }) {
  const { by, volts, nominal: stated, U, difference, differenceU } = nominal;
  const isRatio = volts.length === 2;
  const quotient = isRatio ? `${volts.map((volt) => voltsText(bench, volt)).join(' / ')} = ` : '';
  const value = `${quotient}${plusMinus(stated, U, isRatio ? '' : 'V')}`;
  const source = by === 'voltmeter' ? 'By the voltmeter' : 'By the certificates of the cells';
  if (differenceU === null)
    return (
      <p>
        {source}: {value}; difference {significant(difference, 2)}. The voltmeter’s least count is not stated,
        so nothing can be said of how well they agree.
      </p>
    );
  const agree = Math.abs(difference) <= differenceU;
  const alone = by === 'voltmeter' ? ', from its least count alone' : '';
  return (
    <p>
      {source}: {value} (<i>k</i> = 2{alone}). The difference, {plusMinus(difference, differenceU)}, is{' '}
      {agree ? 'within' : 'beyond'} its expanded uncertainty: the two {agree ? 'agree' : 'do not agree'}.
      {by === 'voltmeter'
        ? ' The voltmeter draws current and so reads a little low; the potentiometer at its null does not.'
        : ''}
    </p>
  );
}
