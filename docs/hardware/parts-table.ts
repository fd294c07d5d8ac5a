import { nominal, PART_GROUPS, type PartGroup } from '../../bridge/emulate/parts.ts';

/** Parts in words: the table of docs/hardware.md, and the values in its drawing. */

const SIZES = [
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-6, 'µ'],
  [1e-9, 'n'],
] as const;

function inUnits(value: number): [number, string] {
  const [size, prefix] = SIZES.find(([least]) => value >= least * (1 - 1e-9)) ?? SIZES[SIZES.length - 1];
  return [Number((value / size).toPrecision(4)), prefix];
}

/** Such as `24.9 kΩ`. */
function valueText({ kind, value }: PartGroup): string {
  if (value === null) return '';
  const [number, prefix] = inUnits(value);
  return `${number} ${prefix}${kind === 'capacitor' ? 'F' : 'Ω'}`;
}

/** A part's name with its value as it is printed on parts (IEC 60062): `R4 24K9`, `C1 22n`. */
export function labelOf(name: string): string {
  const [number, prefix] = inUnits(nominal(name));
  const letter = prefix === '' ? 'R' : prefix.toUpperCase() === 'K' ? 'K' : prefix;
  const [whole, part = ''] = String(number).split('.');
  return `${name} ${whole}${letter}${part}`;
}

/** `R7 to R10` for names that follow one another. */
function namesText(group: PartGroup): string {
  const numbers = Object.keys(group.pieces).map((name) => Number(name.slice(1)));
  const letter = Object.keys(group.pieces)[0][0];
  const runs: number[][] = [];
  for (const number of numbers) {
    const last = runs.at(-1);
    if (last?.at(-1) === number - 1) last.push(number);
    else runs.push([number]);
  }
  return runs
    .map((run) => [letter + run[0], ...(run.length > 1 ? [letter + run.at(-1)] : [])])
    .map((ends, index) => ends.join(runs[index].length > 2 ? ' to ' : ', '))
    .join(', ');
}

export const partsTable = (): string =>
  [
    '| part | number | value | tolerance | subject | when choosing |',
    '| --- | --- | --- | --- | --- | --- |',
    ...PART_GROUPS.map((group) =>
      [
        namesText(group),
        Object.keys(group.pieces).length,
        valueText(group),
        group.tolerance === null ? '' : `${100 * group.tolerance} %`,
        group.subject,
        group.choose,
      ].join(' | '),
    ).map((row) => `| ${row} |`),
  ].join('\n');
