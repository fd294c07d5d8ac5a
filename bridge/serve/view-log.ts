import type { Outcome } from '../calc-core/outcome.ts';
import type { NullView, RunView, RunWork } from '../run/view.ts';
import { type Change, changesBetween } from '../session/view-patch.ts';
import { keepingClose, keepingDigits } from './keeping-told.ts';
import type { SessionView } from './page-protocol.ts';

/** What one change may cost a page while nulls follow each other. */
const MOST_CHARACTERS = 4000;
/** Changes kept for pages that lag behind; one that lags further gets the whole view. */
const MOST_LOG_CHARACTERS = 100_000;

/** A view as it was told last, and its last changes as JSON, made once for all who watch it. */
export class ViewLog {
  #view: SessionView | null = null;
  #work: RunWork | null = null;
  /** The whole view as JSON at the revision, for those who come; made when it is asked for. */
  #whole = '';
  #log: { revision: number; json: string }[] = [];
  #logCharacters = 0;
  #revision = 0;
  /** Nulls of the run when it counted as at rest. */
  #restingNulls: readonly NullView[] | null = null;

  get revision(): number {
    return this.#revision;
  }

  /** How the result was worked out, which grows with the run; null where there is none. */
  get calculation(): Outcome | null {
    return this.#work?.outcome?.result ?? null;
  }

  /** The run counts as at rest: its digits are told as they are. */
  rest(nulls: readonly NullView[]): void {
    this.#restingNulls = nulls;
  }

  /**
   * Takes the view as it is now. To the digit; where so much has moved a little that it costs too much, to a tenth of its uncertainty
   * until the run is at rest.
   * @returns whether it was told to the digit
   */
  take(now: SessionView, work: RunView['work']): boolean {
    this.#work = work;
    const before = this.#view;
    if (before === null) {
      this.#revision = 1;
      this.#view = now;
      return true;
    }
    const exact = keepingDigits(before, now);
    const json = jsonOf(changesBetween(before, exact));
    const isDear = json.length > MOST_CHARACTERS && now.nulls !== this.#restingNulls;
    this.#view = isDear ? keepingClose(before, now) : exact;
    this.#note(isDear ? jsonOf(changesBetween(before, this.#view)) : json);
    return !isDear;
  }

  /** What a page last served at `revision` lacks, as a member of a JSON object; empty where it lacks nothing. 0: everything. */
  since(revision: number): string {
    if (revision === this.#revision) return '';
    const oldest = this.#log[0]?.revision ?? Number.POSITIVE_INFINITY;
    if (revision === 0 || revision < oldest - 1) {
      if (this.#whole === '') this.#whole = JSON.stringify(this.#view);
      return `"view":${this.#whole}`;
    }
    const missed = this.#log.filter((entry) => entry.revision > revision);
    return `"changes":[${missed.map(({ json }) => json).join(',')}]`;
  }

  #note(json: string): void {
    if (json === '') return;
    this.#revision += 1;
    this.#whole = '';
    this.#log.push({ revision: this.#revision, json });
    this.#logCharacters += json.length;
    while (this.#logCharacters > MOST_LOG_CHARACTERS && this.#log.length > 0)
      this.#logCharacters -= this.#log.shift()?.json.length ?? 0;
  }
}

/** Changes as members of a JSON array. */
const jsonOf = (changes: readonly Change[]): string => JSON.stringify(changes).slice(1, -1);
