import type { RawData, WebSocket } from 'ws';
import type { CountsWatches } from '../bench-setup/counts-watches.ts';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { BoardFeed } from './board-feed.ts';
import { CountsFeed } from './counts-feed.ts';
import type { CrossingView } from './crossing-watch.ts';
import type { BridgeToPage, FromBridge, Role } from './page-protocol.ts';
import { type FromPage, type RoomShows, readPageRequest } from './page-request.ts';
import type { SessionFeed } from './session-feed.ts';
import type { ViewLog } from './view-log.ts';

export interface ViewerLimits {
  /** Frames under way to a page before it must acknowledge one. */
  framesUnderWay: number;
  /** Bytes waiting in the bridge for one page; beyond it the page is dropped. */
  bufferedBytes: number;
  /** A page that acknowledges nothing for so long is dropped. */
  silenceMs: number;
  /** A page that opens none of the runs there are is dropped. */
  idleMs: number;
  /** Messages that are none, before the page is dropped. */
  badMessages: number;
  /** Shortest time between two frames. */
  frameMs: number;
  /** Points of readings in one frame. */
  points: number;
}

export const VIEWER_LIMITS: ViewerLimits = {
  framesUnderWay: 2,
  bufferedBytes: 1_000_000,
  silenceMs: 60_000,
  idleMs: 20_000,
  badMessages: 10,
  // Half a picture: what comes meanwhile waits a few milliseconds only, and the acknowledgements keep the pace.
  frameMs: 8,
  points: 3000,
};

const NO_RUN = { ok: false, ...message('no-run-open') } as const;

export interface ViewerWorld {
  feedOf(session: string): SessionFeed | null;
  /** Null where a page may only see runs. */
  counts: CountsWatches | null;
  /** Null where no room of benches is served. */
  board: BoardFeed | null;
  welcome(role: Role): BridgeToPage['welcome'];
  closed(viewer: Viewer): void;
}

/** To hide results or to show them. */
const isTeachers = (request: FromPage): boolean =>
  request.type === 'event' && request.event.kind === 'results';

/** What a page has of its run. */
interface Served {
  count: number;
  epoch: number;
  /** Of which log, and up to where; another log begins with the whole view. */
  log: ViewLog | null;
  revision: number;
  crossing: CrossingView | null;
  room: RoomShows | null;
}
const NOTHING_YET: Served = { count: 0, epoch: -1, log: null, revision: 0, crossing: null, room: null };

/** One connected page. Holds numbers only: what it was last served, and which frames are still under way. */
export class Viewer {
  readonly #socket: WebSocket;
  readonly #world: ViewerWorld;
  readonly #role: Role;
  readonly #limits: ViewerLimits;
  #feed: SessionFeed | null = null;
  #counts: CountsFeed | null = null;
  /** The revision of the board that this page has; null while it does not follow it. */
  #board: number | null = null;
  #served: Served = NOTHING_YET;
  #frame = 0;
  #acknowledged = 0;
  #waitingSince = 0;
  #sentAt = 0;
  #timer: NodeJS.Timeout | null = null;
  #badMessages = 0;
  /** When it last had a run open, or there was none to open. */
  #idleSince = performance.now();

  constructor(socket: WebSocket, role: Role, world: ViewerWorld, limits: ViewerLimits) {
    this.#socket = socket;
    this.#role = role;
    this.#world = world;
    this.#limits = limits;
    socket.on('message', (data, isBinary) => this.#hear(data, isBinary));
    socket.on('error', () => socket.terminate());
    socket.on('close', () => {
      if (this.#timer !== null) clearTimeout(this.#timer);
      this.#feed = null;
      this.#counts?.close();
      this.#counts = null;
      world.closed(this);
    });
    this.tell(world.welcome(role));
  }

  watches(session: string): boolean {
    return this.#feed?.session.summary.id === session;
  }

  get followsBoard(): boolean {
    return this.#board !== null;
  }

  tell(message: FromBridge): void {
    this.#send(JSON.stringify(message));
  }

  /** There is something new: a frame follows as soon as this page may have one. */
  news(): void {
    if (this.#timer !== null || this.#underWay() >= this.#limits.framesUnderWay) return;
    const wait = Math.max(0, this.#sentAt + this.#limits.frameMs - performance.now());
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#serve();
    }, wait);
  }

  /** Called now and then: tells the page that the bridge is there, and drops one that does not do its part. */
  check(anyRun: boolean): void {
    this.tell({ type: 'beat' });
    if (!anyRun || this.#feed !== null || this.followsBoard) this.#idleSince = performance.now();
    if (performance.now() - this.#idleSince > this.#limits.idleMs) this.#socket.terminate();
    const silent = performance.now() - this.#waitingSince;
    if (this.#underWay() > 0 && silent > this.#limits.silenceMs) this.#socket.terminate();
  }

  /** The session it watches has ended. */
  leave(session: string): void {
    if (!this.watches(session)) return;
    this.#feed = null;
    this.tell({ type: 'gone', session });
  }

  close(code: number, reason: string): void {
    this.#socket.close(code, reason);
  }

  terminate(): void {
    this.#socket.terminate();
  }

  #underWay(): number {
    return this.#frame - this.#acknowledged;
  }

  #send(text: string): void {
    if (this.#socket.readyState !== this.#socket.OPEN) return;
    if (this.#socket.bufferedAmount > this.#limits.bufferedBytes) {
      this.#socket.terminate();
      return;
    }
    this.#socket.send(text);
  }

  /** What is new of the run and of the counts, as one frame; none where nothing is. */
  #serve(): void {
    const members = [...this.#newsOfRun(), ...this.#newsOfCounts(), ...this.#newsOfBoard()];
    if (members.length === 0) return;
    this.#frame += 1;
    if (this.#underWay() === 1) this.#waitingSince = performance.now();
    this.#sentAt = performance.now();
    const session = this.#feed?.session.summary.id ?? null;
    const head = JSON.stringify({ type: 'frame', session, frame: this.#frame });
    this.#send(`${head.slice(0, -1)},${members.join(',')}}`);
  }

  #newsOfRun(): string[] {
    const feed = this.#feed;
    if (feed === null) return [];
    const anew = this.#served.epoch !== feed.ring.epoch;
    const from = anew ? 0 : this.#served.count;
    // JSON already, made once for all viewers.
    const log = feed.log(this.#role === 'teach');
    const view = log.since(this.#served.log === log ? this.#served.revision : 0);
    const points = anew || feed.ring.count > from ? feed.ring.since(from, this.#limits.points) : null;
    const { crossing, room } = feed;
    const crossed = crossing !== null && crossing !== this.#served.crossing;
    const otherRoom = room !== this.#served.room;
    const { count, epoch } = feed.ring;
    this.#served = { count, epoch, log, revision: log.revision, crossing, room };
    return [
      ...(anew ? ['"anew":true'] : []),
      ...(points === null ? [] : [`"now":${JSON.stringify(feed.now)}`, `"points":${JSON.stringify(points)}`]),
      ...(crossed ? [`"crossing":${JSON.stringify(crossing)}`] : []),
      ...(otherRoom ? [`"room":${JSON.stringify(room)}`] : []),
      ...(view === '' ? [] : [view]),
    ];
  }

  #newsOfCounts(): string[] {
    const counts = this.#counts?.take() ?? '';
    return counts === '' ? [] : [`"counts":${counts}`];
  }

  #newsOfBoard(): string[] {
    const news = this.#board === null ? null : (this.#world.board?.since(this.#board) ?? null);
    if (news === null) return [];
    this.#board = news.revision;
    return [`"board":${news.json}`];
  }

  #hear(data: RawData, isBinary: boolean): void {
    const request = isBinary ? null : readPageRequest(data.toString());
    if (request !== null) {
      this.#obey(request);
      return;
    }
    this.#badMessages += 1;
    if (this.#badMessages > this.#limits.badMessages) this.#socket.close(1008, 'too many senseless messages');
    else this.#refuse('not-understood', message('message-odd'));
  }

  #obey(request: FromPage): void {
    if (request.type === 'open') this.#open(request.session);
    else if (request.type === 'ack') this.#acknowledge(request.frame);
    else if (request.type === 'calculation') this.#tellCalculation();
    else if (request.type === 'board') this.#followBoard(request.follow);
    else if (this.#role === 'watch') this.#mayNot(request, message('watches-only'));
    else if (this.#role !== 'teach' && isTeachers(request)) this.#mayNot(request, message('teacher-only'));
    else if (request.type === 'event') this.#recordEvent(request);
    else if (request.type === 'hand') this.#hand(request.order);
    else if (request.type === 'counts') this.#followCounts(request.from);
    else if (request.type === 'room') this.#feed?.showRoom(request.shows);
    else if (request.type === 'class') this.#leadClass(request.do);
    else if (request.type === 'say') this.#world.board?.room.say(request.text, request.to);
    else if (request.type === 'call') this.#feed?.session.room?.()?.call(request.on);
    else this.#play(request);
  }

  #open(session: string): void {
    const feed = this.#world.feedOf(session);
    if (feed === null) {
      this.#refuse('no-such-session', message('run-gone'));
      return;
    }
    this.#feed = feed;
    // A crossing of before is past.
    this.#served = { ...NOTHING_YET, crossing: feed.crossing };
    this.news();
  }

  #tellCalculation(): void {
    if (this.#feed === null) return;
    const session = this.#feed.session.summary.id;
    this.tell({ type: 'calculation', session, outcome: this.#feed.log(this.#role === 'teach').calculation });
  }

  #followCounts(from: string | null): void {
    this.#counts?.close();
    const watches = this.#world.counts;
    this.#counts =
      from === null || watches === null ? null : new CountsFeed(watches, from, () => this.news());
  }

  #followBoard(follow: boolean): void {
    this.#board = follow ? 0 : null;
    this.news();
  }

  #leadClass(what: Extract<FromPage, { type: 'class' }>['do']): void {
    const room = this.#world.board?.room;
    if (what === 'end') room?.endClass();
    else room?.show(what === 'show');
  }

  #acknowledge(frame: number): void {
    if (frame <= this.#acknowledged || frame > this.#frame) return;
    this.#acknowledged = frame;
    this.#waitingSince = performance.now();
    this.news();
  }

  #mayNot(request: FromPage, said: Message): void {
    if (request.type === 'event') this.tell({ type: 'answer', request: request.request, ok: false, ...said });
    else this.#refuse('may-not-steer', said);
  }

  #recordEvent(request: Extract<FromPage, { type: 'event' }>): void {
    const answer = this.#feed?.session.recordEvent(request.event) ?? NO_RUN;
    this.tell({ type: 'answer', request: request.request, ...answer });
  }

  #hand(order: Extract<FromPage, { type: 'hand' }>['order']): void {
    const hand = this.#feed?.session.hand?.() ?? null;
    if (hand !== null) hand.order(order);
    else this.#refuse('no-hand', message('no-hand'));
  }

  #play({ type: _, ...command }: Extract<FromPage, { type: 'play' }>): void {
    const answer = this.#feed?.session.play(command) ?? NO_RUN;
    if (!answer.ok) this.#refuse('no-replay', answer);
  }

  #refuse(code: BridgeToPage['error']['code'], { text, descriptor }: Message): void {
    this.tell({ type: 'error', code, text, descriptor });
  }
}
