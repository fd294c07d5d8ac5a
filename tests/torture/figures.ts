/** What one part of the campaign found, for the table in docs/reliability.md. A part that finds a fault throws. */
export type Figures = Record<string, number | string>;

/** One part: the same work with the numbers of `npm run torture` and, shorter, with those of the tests. */
export interface Part {
  /** @param other numbers in place of some of its own */
  full(seed: number, other?: object): Promise<Figures>;
  short(seed: number): Promise<Figures>;
}

export function part<Size>(of: {
  full: Size;
  short: Size;
  run(size: Size, seed: number): Promise<Figures>;
}): Part {
  return {
    full: (seed, other = {}) => of.run({ ...of.full, ...other }, seed),
    short: (seed) => of.run(of.short, seed),
  };
}
