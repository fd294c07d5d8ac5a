/**
 * Picks about `most` of `count` values so that a plot of them looks the same: of each stretch its lowest and its
 * highest, in order. Returns indexes. NaN stands for no value and is passed over.
 */
export function thin(count: number, most: number, value: (index: number) => number): number[] {
  if (count <= most) return Array.from({ length: count }, (_, index) => index);
  const stretches = Math.max(1, Math.floor(most / 2));
  const picked: number[] = [];
  for (let stretch = 0; stretch < stretches; stretch += 1) {
    const from = Math.floor((stretch * count) / stretches);
    const to = Math.floor(((stretch + 1) * count) / stretches);
    picked.push(...extremes(from, to, value));
  }
  if (picked.at(-1) !== count - 1) picked.push(count - 1);
  return picked;
}

function extremes(from: number, to: number, value: (index: number) => number): number[] {
  let lowest = from;
  let highest = from;
  for (let index = from + 1; index < to; index += 1) {
    const here = value(index);
    if (here < value(lowest) || Number.isNaN(value(lowest))) lowest = index;
    if (here > value(highest) || Number.isNaN(value(highest))) highest = index;
  }
  if (lowest === highest) return [lowest];
  return lowest < highest ? [lowest, highest] : [highest, lowest];
}
