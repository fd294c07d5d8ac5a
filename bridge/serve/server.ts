import { createServer, type IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { WebSocketServer } from 'ws';
import type { BenchSetup } from '../bench-setup/bench-setup.ts';
import type { SessionRegistry } from '../session/session-registry.ts';
import { type AccessRules, hostsFor, isLoopback, originAllowed, roleOf } from './access.ts';
import { Audience } from './audience.ts';
import { benchSetupApi } from './bench-setup-api.ts';
import type { ClassRoom } from './board-feed.ts';
import { Connections, SERVER_OPTIONS } from './connections.ts';
import { addressOf, guardHost, outliving, pageFiles } from './http-files.ts';
import { listenOnFreePort } from './listen.ts';
import type { Role } from './page-protocol.ts';
import { ownLink, type RemoteAccess, watchLinkOf } from './remote-access.ts';
import { VIEWER_LIMITS, type ViewerLimits } from './viewer.ts';

/** A page's longest message: an event with a reason or a note. */
const MAX_MESSAGE_BYTES = 4096;
/** Views are long and repeat their names; readings are short, and there are hundreds a second. */
const DEFLATE = { threshold: 2000, serverNoContextTakeover: true, clientNoContextTakeover: true };
/** How many at once. */
const PLACES = { viewers: 200, guests: 150, connections: 400 };

export interface ServeOptions {
  sessions: SessionRegistry;
  /** Set-up and recordings; absent where a page may only see runs. */
  setup?: BenchSetup;
  /** The room of benches whose board is shown; absent where one bench is served. */
  room?: ClassRoom;
  /** Folder with the built page. */
  pageFolder: string;
  /** Wanted port; the next free one is taken. 0: any. */
  port: number;
  /**
   * Off (null): this machine only. Else the address to listen on, the names by which others reach it,
   * and the tokens that they must show.
   */
  listen: RemoteAccess | null;
  /** Makes a page a teacher's, which sees results that are hidden; absent where there is none. */
  teacherToken?: string | null;
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
  let rules: AccessRules = {
    hosts: new Set(),
    tokens: options.listen?.tokens ?? null,
    teacherToken: options.teacherToken ?? null,
    steererTeaches: options.room !== undefined,
  };
  const inForce = () => rules;
  const handler = benchSetupApi(inForce, options.setup ?? null, pageFiles(options.pageFolder));
  const http = createServer(SERVER_OPTIONS, outliving(guardHost(inForce, handler)));
  const places = { ...PLACES, ...options.places };
  const connections = new Connections(http, places.connections);
  const limits = { ...VIEWER_LIMITS, ...options.limits };
  const audience = new Audience(
    options.sessions,
    options.setup?.counts ?? null,
    options.room ?? null,
    limits,
  );
  const sockets = new WebSocketServer({
    noServer: true,
    maxPayload: MAX_MESSAGE_BYTES,
    perMessageDeflate: DEFLATE,
  });
  http.on('upgrade', (request, socket, head) => {
    socket.on('error', () => socket.destroy());
    const admitted = admit(rules, request);
    if (typeof admitted === 'number') return refuse(socket, admitted);
    const { role, guest } = admitted;
    if (!audience.hasRoom(places, guest)) return refuse(socket, 503);
    sockets.handleUpgrade(request, socket, head, (webSocket) => audience.enter(webSocket, role, guest));
  });
  const listening = await listenOnFreePort(http, options.listen?.address ?? '127.0.0.1', options.port);
  if (!listening.ok) {
    audience.close();
    return listening;
  }
  const names = [...LOOPBACK_NAMES, ...(options.listen?.names ?? [])];
  rules = { ...rules, hosts: hostsFor(names, listening.port) };
  if (options.listen !== null) audience.watchLink = watchLinkOf(options.listen, listening.port);
  const server: RunningServer = {
    port: listening.port,
    url: ownLink(options.listen, listening.port),
    viewers: () => audience.count,
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
  const asked = url.searchParams.get('role') === 'steer' ? 'steer' : 'watch';
  const role = roleOf(rules, request, url.searchParams.get('token') ?? '', asked);
  if (role === null) return 401;
  return { role, guest: role === 'watch' && !isLoopback(request.socket.remoteAddress) };
}

/** Answers and hangs up. `end` alone would leave the connection to the other side, for as long as that likes. */
function refuse(socket: Duplex, status: number): void {
  const text = `HTTP/1.1 ${status} Refused\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`;
  socket.end(text, () => socket.destroy());
}
