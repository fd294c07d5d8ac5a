import type { CountsWatches } from '../bench-setup/counts-watches.ts';

/** Figures that change more often than this can't be read. */
const LOOK_MS = 250;

/** The counts that one page follows. */
export class CountsFeed {
  readonly #watches: CountsWatches;
  readonly #from: string;
  readonly #letGo: () => void;
  readonly #timer: NodeJS.Timeout;
  #served = '';

  /** `news` is called when there are counts that `take` has not given yet. */
  constructor(watches: CountsWatches, from: string, news: () => void) {
    this.#watches = watches;
    this.#from = from;
    this.#letGo = watches.follow(from);
    this.#timer = setInterval(() => {
      if (this.#json() !== this.#served) news();
    }, LOOK_MS);
    news();
  }

  /** The counts as JSON; empty where they are as they were last given. */
  take(): string {
    const json = this.#json();
    if (json === this.#served) return '';
    this.#served = json;
    return json;
  }

  close(): void {
    clearInterval(this.#timer);
    this.#letGo();
  }

  #json(): string {
    return JSON.stringify(this.#watches.counts(this.#from));
  }
}
