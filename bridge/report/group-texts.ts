import { plusMinus, significant, uncertaintyText, unitSymbol } from '../calc-core/rounding.ts';
import type { ClassGroup } from './class-groups.ts';

/** What a class found, in sentences: the value first, then how far runs differ, then what stands out. */
export function groupTexts(group: ClassGroup): string[] {
  const { benches } = group;
  const runs = benches.reduce((sum, { values }) => sum + values.length, 0);
  return [
    `${centreText(group, runs)}; ${counted(runs, 'run')} at ${counted(benches.length, 'bench')}`,
    ...(runs < 2 ? [] : [precisionText(group)]),
    ...remarksOf(group),
  ];
}

function centreText({ centre, standardDeviation, unit }: ClassGroup, runs: number): string {
  const symbol = unitSymbol(unit);
  const s = centre.robustStandardDeviation ?? standardDeviation;
  const value = s ? plusMinus(centre.value, s, symbol) : `${significant(centre.value, 6)} ${symbol}`.trim();
  if (runs < 2) return value;
  return `${value} (${centre.by}${s ? ' and standard deviation of single runs' : ''})`;
}

function precisionText({ precision: { repeatability, betweenBenches }, unit }: ClassGroup): string {
  const symbol = unitSymbol(unit);
  const said = (value: number) => `${uncertaintyText(value)} ${symbol}`.trim();
  if (repeatability === null)
    return 'how far runs at one bench differ can not be told: no bench has two runs (ISO 5725-2)';
  return `standard deviation of runs at one bench ${said(repeatability)}${
    betweenBenches === null ? '' : `, between benches ${said(betweenBenches)}`
  } (ISO 5725-2)`;
}

const counted = (count: number, what: string): string =>
  `${count} ${what}${count === 1 ? '' : what.endsWith('ch') ? 'es' : 's'}`;

/** What a group's tests found, in words; empty where nothing stands out. */
export function remarksOf({ benches, spreadTest, meanTest }: ClassGroup): string[] {
  return [
    ...(meanTest === null || meanTest.verdict === 'none'
      ? []
      : [`${benches[meanTest.index].name} lies off the other benches (Grubbs: ${meanTest.verdict})`]),
    ...(spreadTest === null || spreadTest.verdict === 'none'
      ? []
      : [
          `runs at ${benches[spreadTest.index].name} differ by more than elsewhere (Cochran: ${spreadTest.verdict})`,
        ]),
  ];
}
