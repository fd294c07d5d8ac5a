import type { BridgeToPage, FromBridge, FromPage, Role, RunEvent } from '../../bridge/serve/page-protocol.ts';
import { withChanges } from '../../bridge/session/view-patch.ts';
import type { PointBuffer } from './point-buffer.ts';
import type { PageState, PageStore } from './store.ts';

const LOOPBACK = ['127.0.0.1', 'localhost', '[::1]'];
/** The bridge says something every five seconds at least. */
const SILENT_MS = 15_000;
const RETRY_MS = [300, 1000, 2000, 5000];
/** A hidden page is not painted: it takes its frames at once instead of at the next picture. */
const hidden = (): boolean => document.visibilityState === 'hidden';

/** The page's end of the WebSocket: comes back by itself, and acknowledges a frame once it is painted. */
export class Connection {
  readonly #store: PageStore;
  readonly #points: PointBuffer;
  readonly #role: Role;
  readonly #token: string;
  #socket: WebSocket | null = null;
  #retries = 0;
  #everOpen = false;
  #request = 0;
  /** Events that the bridge has not answered yet: a connection that is lost may have taken them along. */
  #unanswered = new Set<number>();
  #frames: BridgeToPage['frame'][] = [];
  #painting = false;
  #heardAt = 0;
  #countsFrom: string | null = null;
  #followsBoard = false;

  constructor(store: PageStore, points: PointBuffer, role: Role, token: string) {
    this.#store = store;
    this.#points = points;
    this.#role = role;
    this.#token = token;
    document.addEventListener('visibilitychange', () => this.#paint());
    setInterval(() => this.#listenForSilence(), SILENT_MS / 5);
    this.#connect();
  }

  open(session: string): void {
    this.#store.set({ session, view: null, now: null, crossing: null, calculation: null });
    this.send({ type: 'open', session });
  }

  /** The counts of a source, from now on and also over a loss of the connection; null: no more. */
  followCounts(from: string | null): void {
    this.#countsFrom = from;
    this.#store.set({ counts: null });
    this.send({ type: 'counts', from });
  }

  /** The class board, from now on and also over a loss of the connection, or no more. */
  followBoard(follow: boolean): void {
    this.#followsBoard = follow;
    this.send({ type: 'board', follow });
  }

  recordEvent(event: RunEvent): void {
    this.#request += 1;
    this.#unanswered.add(this.#request);
    this.send({ type: 'event', request: this.#request, event });
  }

  send(message: FromPage): void {
    if (this.#socket?.readyState === WebSocket.OPEN) this.#socket.send(JSON.stringify(message));
  }

  #connect(): void {
    const query = new URLSearchParams({ role: this.#role, token: this.#token });
    const socket = new WebSocket(`ws://${location.host}/live?${query}`);
    this.#socket = socket;
    socket.onmessage = (message) => this.#hear(JSON.parse(message.data));
    socket.onclose = () => this.#lost();
  }

  #lost(): void {
    this.#frames = [];
    // From this machine nobody is refused; from another one a page that never got in lacks the token.
    const refused = !this.#everOpen && !LOOPBACK.includes(location.hostname);
    this.#store.set({ connection: refused ? 'refused' : 'lost' });
    const wait = RETRY_MS[Math.min(this.#retries, RETRY_MS.length - 1)];
    this.#retries += 1;
    setTimeout(() => this.#connect(), wait);
  }

  /** A network that went away closes nothing: the socket is given up, and the way back begins. */
  #listenForSilence(): void {
    const socket = this.#socket;
    if (socket?.readyState !== WebSocket.OPEN || performance.now() - this.#heardAt < SILENT_MS) return;
    // Its own close would wait for an answer that never comes.
    socket.onclose = null;
    socket.onmessage = null;
    socket.close();
    this.#lost();
  }

  #hear(message: FromBridge): void {
    this.#heardAt = performance.now();
    if (message.type === 'frame') this.#take(message);
    else if (message.type === 'welcome') this.#welcomed(message);
    else if (message.type === 'sessions') this.#listed(message.sessions);
    else if (message.type === 'gone') this.#store.set({ view: null, now: null });
    else if (message.type === 'error') this.#store.notify(message);
    else if (message.type === 'answer') this.#answered(message);
    else if (message.type === 'calculation' && message.session === this.#store.state.session)
      this.#store.set({ calculation: message.outcome });
  }

  #answered(answer: BridgeToPage['answer']): void {
    this.#unanswered.delete(answer.request);
    if (answer.ok) this.#store.dismiss();
    else this.#store.notify(answer);
  }

  #welcomed(welcome: BridgeToPage['welcome']): void {
    this.#retries = 0;
    this.#everOpen = true;
    const wanted = this.#store.state.session;
    const { role, watchLink, room: classRoom } = welcome;
    this.#store.set({ connection: 'open', role, watchLink, classRoom });
    if (this.#unanswered.size > 0) this.#store.notify((texts) => texts.connection.unanswered);
    this.#unanswered.clear();
    this.#listed(welcome.sessions);
    if (this.#followsBoard) this.send({ type: 'board', follow: true });
    if (this.#countsFrom !== null) this.send({ type: 'counts', from: this.#countsFrom });
    if (wanted === null) return;
    if (wanted === this.#store.state.session) this.send({ type: 'open', session: wanted });
    // As after the bridge was started anew: another run must not pass for the one that was shown.
    else this.#store.notify((texts) => texts.connection.runGone);
  }

  #listed(sessions: BridgeToPage['sessions']['sessions']): void {
    this.#store.set({ sessions });
    const present = sessions.some((one) => one.id === this.#store.state.session);
    // Of a class none is opened unasked: its readings would come here for nothing.
    if (present || (typeof this.#store.state.classRoom === 'string' && this.#store.state.session === null))
      return;
    // A run that is on comes before a replay that somebody has left open.
    const first = sessions.find((one) => one.kind !== 'replay') ?? sessions[0];
    if (first !== undefined) this.open(first.id);
    else this.#store.set({ session: null, view: null, now: null });
  }

  #take(frame: BridgeToPage['frame']): void {
    this.#frames.push(frame);
    if (hidden()) this.#paint();
    else if (!this.#painting) {
      this.#painting = true;
      requestAnimationFrame(() => this.#paint());
    }
  }

  #paint(): void {
    this.#painting = false;
    const frames = this.#frames;
    this.#frames = [];
    for (const frame of frames) this.#apply(frame);
    const last = frames.at(-1);
    if (last !== undefined) this.send({ type: 'ack', frame: last.frame });
  }

  #apply(frame: BridgeToPage['frame']): void {
    if (frame.counts?.from === this.#countsFrom) this.#store.set({ counts: frame.counts });
    if (frame.board !== undefined) this.#store.set({ board: frame.board });
    if (frame.session !== this.#store.state.session) return;
    if (frame.points !== undefined) this.#points.add(frame.points, frame.anew === true);
    const { crossing, room } = frame;
    const changes: Partial<PageState> = {};
    if (crossing !== undefined) changes.crossing = crossing;
    if (room !== undefined) changes.room = room;
    if (frame.now !== undefined) changes.now = frame.now;
    const before = frame.view ?? this.#store.state.view;
    if (before !== null) changes.view = withChanges(before, frame.changes ?? []);
    this.#store.set(changes);
  }
}
