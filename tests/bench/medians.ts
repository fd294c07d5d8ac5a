/** Milliseconds that each piece of work takes: done in turns, so that a busy machine troubles all alike. */
export function alternate(rounds: number, ...works: (() => void)[]): number[] {
  const times = works.map((): number[] => []);
  for (let round = 0; round < rounds; round += 1) {
    works.forEach((work, index) => {
      const began = performance.now();
      work();
      times[index].push(performance.now() - began);
    });
  }
  return times.map(median);
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = Math.floor(sorted.length / 2);
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}
