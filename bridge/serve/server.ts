import { createServer, type IncomingMessage, type Server } from 'node:http';
import type { Socket } from 'node:net';
import type { Duplex } from 'node:stream';
import { WebSocketServer } from 'ws';
import type { BenchSetup } from '../bench-setup/bench-setup.ts';
import type { CountsWatches } from '../bench-setup/counts-watches.ts';
import type { SessionRegistry } from '../session/session-registry.ts';
import { type AccessRules, hostsFor, originAllowed, roleOf } from './access.ts';
import { benchSetupApi } from './bench-setup-api.ts';
import { addressOf, guardHost, outliving, pageFiles } from './http-files.ts';
import { listenOnFreePort } from './listen.ts';
import type { Role } from './page-protocol.ts';
import { ownLink, type RemoteAccess } from './remote-access.ts';
import { SessionFeed } from './session-feed.ts';
import { VIEWER_LIMITS, Viewer, type ViewerLimits } from './viewer.ts';

/** A page's longest message: an event with a reason or a note. */
const MAX_MESSAGE_BYTES = 4096;
const MAX_VIEWERS = 200;
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
  limits?: Partial<ViewerLimits> & { viewers?: number };
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
  const http = createServer(outliving(guardHost(inForce, handler)));
  const audience = openAudience(options.sessions, options.setup?.counts ?? null, {
    ...VIEWER_LIMITS,
    ...options.limits,
  });
  const sockets = new WebSocketServer({
    noServer: true,
    maxPayload: MAX_MESSAGE_BYTES,
    perMessageDeflate: false,
  });
  const most = options.limits?.viewers ?? MAX_VIEWERS;
  // Node forgets a connection once it asks for an upgrade: whoever closes the server has to know them all.
  const connections = new Set<Socket>();
  http.on('connection', (socket) => {
    connections.add(socket);
    socket.once('close', () => connections.delete(socket));
  });
  http.on('upgrade', (request, socket, head) => {
    socket.on('error', () => socket.destroy());
    const admitted = admit(rules, request, audience.count() < most);
    if (typeof admitted === 'number') return refuse(socket, admitted);
    sockets.handleUpgrade(request, socket, head, (webSocket) => audience.enter(webSocket, admitted.role));
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
      await closeHttp(http, connections);
    },
  };
  return { ok: true, server };
}

/** Decides on an upgrade: the role, or the HTTP status with which it is refused. */
function admit(rules: AccessRules, request: IncomingMessage, room: boolean): { role: Role } | number {
  if (!originAllowed(rules, request)) return 403;
  const url = addressOf(request);
  if (url === null) return 400;
  if (url.pathname !== '/live') return 404;
  const asked: Role = url.searchParams.get('role') === 'steer' ? 'steer' : 'watch';
  const role = roleOf(rules, request, url.searchParams.get('token') ?? '', asked);
  if (role === null) return 401;
  return room ? { role } : 503;
}

/** Answers and hangs up. `end` alone would leave the connection to the other side, for as long as that likes. */
function refuse(socket: Duplex, status: number): void {
  const text = `HTTP/1.1 ${status} Refused\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`;
  socket.end(text, () => socket.destroy());
}

function closeHttp(http: Server, connections: ReadonlySet<Socket>): Promise<void> {
  return new Promise((resolve) => {
    http.close(() => resolve());
    for (const connection of connections) connection.destroy();
  });
}

interface Audience {
  count(): number;
  enter(socket: ConstructorParameters<typeof Viewer>[0], role: Role): void;
  close(): void;
}

/** All pages of one server, and one feed for each run that any of them watches or may watch. */
function openAudience(
  sessions: SessionRegistry,
  counts: CountsWatches | null,
  limits: ViewerLimits,
): Audience {
  const viewers = new Set<Viewer>();
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
      for (const viewer of viewers) viewer.check();
    },
    Math.min(CHECK_MS, limits.silenceMs),
  );
  const world = {
    feedOf: (id: string) => feeds.get(id) ?? null,
    counts,
    welcome: (role: Role) => ({ type: 'welcome', protocol: 1, role, sessions: sessions.list() }) as const,
    closed: (viewer: Viewer) => viewers.delete(viewer),
  };
  return {
    count: () => viewers.size,
    enter: (socket, role) => {
      viewers.add(new Viewer(socket, role, world, limits));
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
