import type { Message } from '../calc-core/message.ts';
import type { OutlierTest } from '../calc-core/outliers.ts';
import { plusMinus, significant, uncertaintyText, unitSymbol } from '../calc-core/rounding.ts';
import { message } from '../messages/catalogue.ts';
import type { ClassGroup } from './class-groups.ts';

/** What a class found, in sentences: the value first, then how far runs differ, then what stands out. */
export function groupTexts(group: ClassGroup): Message[] {
  const runs = group.benches.reduce((sum, { values }) => sum + values.length, 0);
  return [centreText(group, runs), ...(runs < 2 ? [] : [precisionText(group)]), ...remarksOf(group)];
}

function centreText({ centre, standardDeviation, unit, benches }: ClassGroup, runs: number): Message {
  const symbol = unitSymbol(unit);
  const s = centre.robustStandardDeviation ?? standardDeviation;
  const value = s ? plusMinus(centre.value, s, symbol) : `${significant(centre.value, 6)} ${symbol}`.trim();
  if (runs < 2) return message('class-one-run', { value });
  const by = message(centre.by === 'median' ? 'by-median' : 'by-algorithm-a');
  return message(s ? 'class-value-spread' : 'class-value', { value, by, runs, benches: benches.length });
}

function precisionText({ precision: { repeatability, betweenBenches }, unit }: ClassGroup): Message {
  const symbol = unitSymbol(unit);
  const said = (value: number) => `${uncertaintyText(value)} ${symbol}`.trim();
  if (repeatability === null) return message('repeatability-unknown');
  const within = said(repeatability);
  return betweenBenches === null
    ? message('repeatability-alone', { within })
    : message('repeatability-between', { within, between: said(betweenBenches) });
}

/** What a group's tests found; empty where nothing stands out. */
export function remarksOf({ benches, spreadTest, meanTest }: ClassGroup): Message[] {
  const said = (key: 'bench-off' | 'bench-spreads', test: OutlierTest | null): Message[] => {
    if (test === null || test.verdict === 'none') return [];
    const verdict = message(test.verdict === 'outlier' ? 'verdict-outlier' : 'verdict-straggler');
    return [message(key, { bench: benches[test.index].name, verdict })];
  };
  return [...said('bench-off', meanTest), ...said('bench-spreads', spreadTest)];
}
