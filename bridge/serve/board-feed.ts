import type { ClassBoard } from '../room/class-board.ts';
import type { RunPlace } from '../room/topics.ts';

/** A room of benches as a server sees it. */
export interface ClassRoom {
  board(): ClassBoard;
  onChange(listener: () => void): () => void;
  /** Shows results and the class's value, or hides them. */
  show(shown: boolean): void;
  /** A line of text to one bench, or to all. */
  say(text: string, place: RunPlace | null): void;
  endClass(): void;
}

/** The board is looked at afresh at most this often. */
const BOARD_MS = 300;

/** The board as JSON, made once for all pages that follow it, and only while any does. */
export class BoardFeed {
  readonly room: ClassRoom;
  readonly #stopListening: () => void;
  readonly #isFollowed: () => boolean;
  readonly #news: () => void;
  #json = '';
  #revision = 0;
  #timer: NodeJS.Timeout | null = null;

  constructor(room: ClassRoom, isFollowed: () => boolean, news: () => void) {
    this.room = room;
    this.#isFollowed = isFollowed;
    this.#news = news;
    this.#stopListening = room.onChange(() => this.#later());
  }

  /** Since the revision that a page has; null where there is nothing new. */
  since(revision: number): { revision: number; json: string } | null {
    // The first to follow looks at once.
    if (revision === 0) this.#look();
    return revision === this.#revision ? null : { revision: this.#revision, json: this.#json };
  }

  close(): void {
    this.#stopListening();
    if (this.#timer !== null) clearTimeout(this.#timer);
  }

  #later(): void {
    if (this.#timer !== null || !this.#isFollowed()) return;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#look();
      this.#news();
    }, BOARD_MS);
  }

  #look(): void {
    const json = JSON.stringify(this.room.board());
    if (json === this.#json) return;
    this.#json = json;
    this.#revision += 1;
  }
}
