/** Work that keeps a processor busy: at most `atOnce` of it goes on, `waiting` more stand in line, the rest is turned away. */
export class FewAtOnce {
  readonly #atOnce: number;
  readonly #waiting: number;
  readonly #line: (() => void)[] = [];
  #under = 0;

  constructor(atOnce: number, waiting: number) {
    this.#atOnce = atOnce;
    this.#waiting = waiting;
  }

  /** Does the work when its turn comes; `turnedAway` where the line is full. Rejects as the work does. */
  async do<Done, Away>(work: () => Promise<Done>, turnedAway: Away): Promise<Done | Away> {
    if (this.#under >= this.#atOnce) {
      if (this.#line.length >= this.#waiting) return turnedAway;
      // Whoever ends hands its place on, so that nobody slips in between.
      await new Promise<void>((resolve) => this.#line.push(resolve));
    } else this.#under += 1;
    try {
      return await work();
    } finally {
      const next = this.#line.shift();
      if (next === undefined) this.#under -= 1;
      else next();
    }
  }
}
