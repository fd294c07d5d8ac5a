import type { NullView } from '../run/view.ts';

/**
 * The nulls of a run as JSON, each with the revision at which it last changed: with their pictures they are most
 * of a view, and one new null must not send all the others again.
 */
export class NullsFeed {
  #parts: { value: NullView; json: string; revision: number }[] = [];
  /** When the list last grew or shrank; -1 before the first look. */
  #countRevision = -1;

  /** Takes note of the nulls as they are at `revision`; answers whether anything changed. */
  look(nulls: readonly NullView[], revision: number): boolean {
    let changed = this.#countRevision < 0 || nulls.length !== this.#parts.length;
    if (changed) this.#countRevision = revision;
    this.#parts = nulls.map((value, place) => {
      const before = this.#parts[place];
      if (before?.value === value) return before;
      const json = JSON.stringify(value);
      if (before?.json === json) return { ...before, value };
      changed = true;
      return { value, json, revision };
    });
    return changed;
  }

  /** The part that a page last served at `revision` lacks, as JSON; empty where it lacks nothing. */
  since(revision: number): string {
    const changed = this.#parts.flatMap((part, place) =>
      part.revision > revision ? [`[${place},${part.json}]`] : [],
    );
    if (changed.length === 0 && this.#countRevision <= revision) return '';
    return `{"count":${this.#parts.length},"changed":[${changed.join(',')}]}`;
  }
}
