import type { WebSocket } from 'ws';
import type { CountsWatches } from '../bench-setup/counts-watches.ts';
import type { SessionRegistry } from '../session/session-registry.ts';
import { BoardFeed, type ClassRoom } from './board-feed.ts';
import type { BridgeToPage, Role, WatchLink } from './page-protocol.ts';
import { SessionFeed } from './session-feed.ts';
import { Viewer, type ViewerLimits, type ViewerWorld } from './viewer.ts';

const CHECK_MS = 5000;

export interface AudiencePlaces {
  viewers: number;
  /** Of these, so many for guests; the others are kept for those that steer, and for this machine. */
  guests: number;
}

/** All pages of one server, and one feed for each run that any of them watches or may watch. */
export class Audience implements ViewerWorld {
  readonly counts: CountsWatches | null;
  readonly board: BoardFeed | null;
  readonly #sessions: SessionRegistry;
  readonly #limits: ViewerLimits;
  readonly #viewers = new Set<Viewer>();
  readonly #guests = new Set<Viewer>();
  readonly #feeds = new Map<string, SessionFeed>();
  readonly #stopFollowing: () => void;
  readonly #timer: NodeJS.Timeout;
  /** Known once the server listens; null while no other machine is let in. */
  watchLink: WatchLink | null = null;

  constructor(
    sessions: SessionRegistry,
    counts: CountsWatches | null,
    room: ClassRoom | null,
    limits: ViewerLimits,
  ) {
    this.#sessions = sessions;
    this.counts = counts;
    this.board = room && this.#boardOf(room);
    this.#limits = limits;
    this.#follow();
    this.#stopFollowing = sessions.onChange(() => this.#follow());
    const checkMs = Math.min(CHECK_MS, limits.silenceMs, limits.idleMs);
    this.#timer = setInterval(() => this.#check(), checkMs);
  }

  get count(): number {
    return this.#viewers.size;
  }

  hasRoom({ viewers, guests }: AudiencePlaces, guest: boolean): boolean {
    return this.#viewers.size < viewers && (!guest || this.#guests.size < guests);
  }

  enter(socket: WebSocket, role: Role, guest: boolean): void {
    const viewer = new Viewer(socket, role, this, this.#limits);
    this.#viewers.add(viewer);
    if (guest) this.#guests.add(viewer);
  }

  feedOf(id: string): SessionFeed | null {
    return this.#feeds.get(id) ?? null;
  }

  welcome(role: Role): BridgeToPage['welcome'] {
    const { watchLink } = this;
    const room = this.board?.room.board().room ?? null;
    return { type: 'welcome', protocol: 1, role, sessions: this.#sessions.list(), watchLink, room };
  }

  closed(viewer: Viewer): void {
    this.#viewers.delete(viewer);
    this.#guests.delete(viewer);
  }

  close(): void {
    this.#stopFollowing();
    clearInterval(this.#timer);
    this.board?.close();
    for (const feed of this.#feeds.values()) feed.close();
    for (const viewer of this.#viewers) viewer.close(1001, 'the bridge is closing');
    for (const viewer of this.#viewers) viewer.terminate();
  }

  #boardOf(room: ClassRoom): BoardFeed {
    const following = () => [...this.#viewers].filter((viewer) => viewer.followsBoard);
    const news = () => {
      for (const viewer of following()) viewer.news();
    };
    return new BoardFeed(room, () => following().length > 0, news);
  }

  /** A feed for each run there is, and for no other. */
  #follow(): void {
    const present = this.#sessions.list();
    for (const { id } of present) if (!this.#feeds.has(id)) this.#feeds.set(id, this.#feedFor(id));
    for (const id of this.#feeds.keys()) if (!present.some((session) => session.id === id)) this.#drop(id);
    for (const viewer of this.#viewers) viewer.tell({ type: 'sessions', sessions: present });
  }

  #feedFor(id: string): SessionFeed {
    return new SessionFeed(this.#sessions.get(id)!, {
      watching: () => [...this.#viewers].some((viewer) => viewer.watches(id)),
      news: () => {
        for (const viewer of this.#viewers) if (viewer.watches(id)) viewer.news();
      },
    });
  }

  #drop(id: string): void {
    this.#feeds.get(id)?.close();
    this.#feeds.delete(id);
    for (const viewer of this.#viewers) viewer.leave(id);
  }

  #check(): void {
    const anyRun = this.#sessions.list().length > 0;
    for (const viewer of this.#viewers) viewer.check(anyRun);
  }
}
