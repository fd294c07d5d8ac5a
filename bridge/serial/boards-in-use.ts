import { UNNAMED_BOARD } from './board-introduction.ts';

/**
 * Which port each named board speaks at. Of two boards with one name a cable that is pulled and put in again could bring the other
 * one, so the second is not let in. Boards that nobody has named yet are all called the same and are not held against each other.
 */
export class BoardsInUse {
  readonly #pathOf = new Map<string, string>();

  /** Null where the name is this port's now; else the port at which a board of that name speaks already. */
  claim(board: string, path: string): string | null {
    if (board === UNNAMED_BOARD) return null;
    const at = this.#pathOf.get(board);
    if (at !== undefined && at !== path) return at;
    this.#pathOf.set(board, path);
    return null;
  }

  /** Once nothing is heard at a port any more. */
  release(path: string): void {
    for (const [board, at] of this.#pathOf) if (at === path) this.#pathOf.delete(board);
  }
}

/** Of this process. */
export const BOARDS_IN_USE = new BoardsInUse();
