import { createServer, type IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { WebSocketServer } from 'ws';
import type { BenchSetup } from '../bench-setup/bench-setup.ts';
import type { CountsWatches } from '../bench-setup/counts-watches.ts';
import type { SessionRegistry } from '../session/session-registry.ts';
import { type AccessRules, hostsFor, isLoopback, originAllowed, roleOf } from './access.ts';
import { benchSetupApi } from './bench-setup-api.ts';
import { Connections, SERVER_OPTIONS } from './connections.ts';
import { addressOf, guardHost, outliving, pageFiles } from './http-files.ts';
import { listenOnFreePort } from './listen.ts';
import type { Role } from './page-protocol.ts';
import { ownLink, type RemoteAccess } from './remote-access.ts';
import { SessionFeed } from './session-feed.ts';
import { VIEWER_LIMITS, Viewer, type ViewerLimits } from './viewer.ts';

/** A page's longest message: an event with a reason or a note. */
const MAX_MESSAGE_BYTES = 4096;
/** How many at once; what guests may not take is kept for those that steer, and for this machine. */
const PLACES = { viewers: 200, guests: 150, connections: 400 };
const CHECK_MS = 5000;

export interface ServeOptions {
  sessions: SessionRegistry;
  /** Set-up and recordings; absent where a page may only see runs. */
  setup?: BenchSetup;
  /** Folder with the built page. */
  pageFolder: string;
  /** Wanted port; the next free one is taken. 0: any. */
  port: number;
  /**
   * Off (null): this machine only. Else the address to listen on, the names by which others reach it,
   * and the tokens that they must show.
   */
  listen: RemoteAccess | null;
  limits?: Partial<ViewerLimits>;
  places?: Partial<typeof PLACES>;
}

export interface RunningServer {
  port: number;
  url: string;
  viewers(): number;
  /** Closes WebSockets first, then HTTP. */
  close(): Promise<void>;
}

export type ServeOutcome = { ok: true; server: RunningServer } | { ok: false; text: string };

const LOOPBACK_NAMES = ['127.0.0.1', 'localhost', '::1'];

/** Serves the page and the runs of a registry. */
export async function serve(options: ServeOptions): Promise<ServeOutcome> {
  let rules: AccessRules = { hosts: new Set(), tokens: options.listen?.tokens ?? null };
  const inForce = () => rules;
  const handler = benchSetupApi(inForce, options.setup ?? null, pageFiles(options.pageFolder));
  const http = createServer(SERVER_OPTIONS, outliving(guardHost(inForce, handler)));
  const places = { ...PLACES, ...options.places };
  const connections = new Connections(http, places.connections);
  const audience = openAudience(options.sessions, options.setup?.counts ?? null, {
    ...VIEWER_LIMITS,
    ...options.limits,
  });
  const sockets = new WebSocketServer({
    noServer: true,
    maxPayload: MAX_MESSAGE_BYTES,
    perMessageDeflate: false,
  });
  http.on('upgrade', (request, socket, head) => {
    socket.on('error', () => socket.destroy());
    const admitted = admit(rules, request);
    if (typeof admitted === 'number') return refuse(socket, admitted);
    const { role, guest } = admitted;
    const room = audience.count() < places.viewers && (!guest || audience.guests() < places.guests);
    if (!room) return refuse(socket, 503);
    sockets.handleUpgrade(request, socket, head, (webSocket) => audience.enter(webSocket, role, guest));
  });
  const listening = await listenOnFreePort(http, options.listen?.address ?? '127.0.0.1', options.port);
  if (!listening.ok) {
    audience.close();
    return listening;
  }
  const names = [...LOOPBACK_NAMES, ...(options.listen?.names ?? [])];
  rules = { ...rules, hosts: hostsFor(names, listening.port) };
  const server: RunningServer = {
    port: listening.port,
    url: ownLink(options.listen, listening.port),
    viewers: audience.count,
    close: async () => {
      audience.close();
      await connections.close();
    },
  };
  return { ok: true, server };
}

/**
 * Decides on an upgrade: the role, or the HTTP status with which it is refused. A guest is one that only watches, from another
 * machine: a token for that is easily handed on.
 */
function admit(rules: AccessRules, request: IncomingMessage): { role: Role; guest: boolean } | number {
  if (!originAllowed(rules, request)) return 403;
  const url = addressOf(request);
  if (url === null) return 400;
  if (url.pathname !== '/live') return 404;
  const asked: Role = url.searchParams.get('role') === 'steer' ? 'steer' : 'watch';
  const role = roleOf(rules, request, url.searchParams.get('token') ?? '', asked);
  if (role === null) return 401;
  return { role, guest: role === 'watch' && !isLoopback(request.socket.remoteAddress) };
}

/** Answers and hangs up. `end` alone would leave the connection to the other side, for as long as that likes. */
function refuse(socket: Duplex, status: number): void {
  const text = `HTTP/1.1 ${status} Refused\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`;
  socket.end(text, () => socket.destroy());
}

interface Audience {
  count(): number;
  guests(): number;
  enter(socket: ConstructorParameters<typeof Viewer>[0], role: Role, guest: boolean): void;
  close(): void;
}

/** All pages of one server, and one feed for each run that any of them watches or may watch. */
function openAudience(
  sessions: SessionRegistry,
  counts: CountsWatches | null,
  limits: ViewerLimits,
): Audience {
  const viewers = new Set<Viewer>();
  const guests = new Set<Viewer>();
  const feeds = new Map<string, SessionFeed>();
  const follow = () => {
    const present = sessions.list();
    for (const { id } of present) if (!feeds.has(id)) feeds.set(id, feedFor(id));
    for (const id of feeds.keys()) if (!present.some((session) => session.id === id)) drop(id);
    for (const viewer of viewers) viewer.tell({ type: 'sessions', sessions: present });
  };
  const feedFor = (id: string): SessionFeed =>
    new SessionFeed(sessions.get(id)!, {
      watching: () => [...viewers].some((viewer) => viewer.watches(id)),
      news: () => {
        for (const viewer of viewers) if (viewer.watches(id)) viewer.news();
      },
    });
  const drop = (id: string) => {
    feeds.get(id)?.close();
    feeds.delete(id);
    for (const viewer of viewers) viewer.leave(id);
  };
  follow();
  const stopFollowing = sessions.onChange(follow);
  const timer = setInterval(
    () => {
      const anyRun = sessions.list().length > 0;
      for (const viewer of viewers) viewer.check(anyRun);
    },
    Math.min(CHECK_MS, limits.silenceMs, limits.idleMs),
  );
  const world = {
    feedOf: (id: string) => feeds.get(id) ?? null,
    counts,
    welcome: (role: Role) => ({ type: 'welcome', protocol: 1, role, sessions: sessions.list() }) as const,
    closed: (viewer: Viewer) => {
      viewers.delete(viewer);
      guests.delete(viewer);
    },
  };
  return {
    count: () => viewers.size,
    guests: () => guests.size,
    enter: (socket, role, guest) => {
      const viewer = new Viewer(socket, role, world, limits);
      viewers.add(viewer);
      if (guest) guests.add(viewer);
    },
    close() {
      stopFollowing();
      clearInterval(timer);
      for (const feed of feeds.values()) feed.close();
      for (const viewer of viewers) viewer.close(1001, 'the bridge is closing');
      for (const viewer of viewers) viewer.terminate();
    },
  };
}
