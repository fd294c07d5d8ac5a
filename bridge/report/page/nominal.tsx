import type { Bench } from '../../bench/bench-file.ts';
import { plusMinus, significant } from '../../calc-core/rounding.ts';
import type { NominalComparison } from '../nominal.ts';
import { useTexts } from './language.tsx';
import { fill, Say } from './say.tsx';
import { voltsText } from './volts.ts';

/** The result beside certificates or voltmeter readings, and whether they agree. */
export function Nominal({ nominal, bench }: { nominal: NominalComparison; bench: Bench }) {
  const { nominal: nominalTexts } = useTexts();
  const { by, volts, nominal: stated, U, difference, differenceU } = nominal;
  const isRatio = volts.length === 2;
  const quotient = isRatio ? `${volts.map((volt) => voltsText(bench, volt)).join(' / ')} = ` : '';
  const value = `${quotient}${plusMinus(stated, U, isRatio ? '' : 'V')}`;
  const source = nominalTexts[by];
  if (differenceU === null)
    return <p>{fill(nominalTexts.unknown, { source, value, difference: significant(difference, 2) })}</p>;
  const agree = Math.abs(difference) <= differenceU;
  return (
    <p>
      <Say
        text={nominalTexts.compared}
        given={{
          source,
          value,
          alone: by === 'voltmeter' ? nominalTexts.leastCountAlone : '',
          verdict: fill(agree ? nominalTexts.agree : nominalTexts.differ, {
            difference: plusMinus(difference, differenceU),
          }),
          low: by === 'voltmeter' ? nominalTexts.voltmeterLow : '',
        }}
      />
    </p>
  );
}
