import type { Server } from 'node:http';
import type { Socket } from 'node:net';

/** The head of a request comes in one piece, unless somebody holds it back. */
const HEAD_MS = 10_000;
/** The largest recording over a slow network. */
const WHOLE_REQUEST_MS = 30 * 60_000;
const LOOK_MS = 2000;

/** All connections of a server: each has its time, and one that asks for nothing makes room for the next. */
export class Connections {
  /** Oldest first. */
  readonly #all = new Set<Socket>();
  readonly #http: Server;

  constructor(http: Server, most: number) {
    this.#http = http;
    http.headersTimeout = HEAD_MS;
    http.requestTimeout = WHOLE_REQUEST_MS;
    // The requests that came whole, or asked for an upgrade: Node forgets those connections, whoever closes the server must not.
    const asked = new WeakSet<Socket>();
    http.on('request', ({ socket }, response) => {
      asked.add(socket);
      response.once('close', () => asked.delete(socket));
    });
    http.on('upgrade', ({ socket }) => asked.add(socket));
    http.on('connection', (socket) => {
      if (this.#all.size >= most) this.#makeRoom(asked);
      this.#all.add(socket);
      socket.once('close', () => this.#all.delete(socket));
    });
  }

  get count(): number {
    return this.#all.size;
  }

  /** Ends them all, and the server. */
  close(): Promise<void> {
    return new Promise((resolve) => {
      this.#http.close(() => resolve());
      for (const socket of this.#all) socket.destroy();
    });
  }

  #makeRoom(asked: WeakSet<Socket>): void {
    for (const socket of this.#all) {
      if (asked.has(socket)) continue;
      this.#all.delete(socket);
      socket.destroy();
      return;
    }
  }
}

/** How often a server looks for connections whose time is over. */
export const SERVER_OPTIONS = { connectionsCheckingInterval: LOOK_MS };
