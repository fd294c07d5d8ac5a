import { connect, createServer, type Server, type Socket } from 'node:net';

/** The network between stations and broker, which can be cut. */
export class TcpRelay {
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();
  #isCut = false;

  private constructor(server: Server) {
    this.#server = server;
  }

  static async open(toPort: number): Promise<TcpRelay> {
    const server = createServer((socket) => relay.#carry(socket, toPort));
    const relay = new TcpRelay(server);
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    return relay;
  }

  get port(): number {
    return (this.#server.address() as { port: number }).port;
  }

  /** Ends all connections, and lets none through until it is mended. */
  cut(isCut: boolean): void {
    this.#isCut = isCut;
    if (isCut) for (const socket of this.#sockets) socket.destroy();
  }

  async close(): Promise<void> {
    this.cut(true);
    await new Promise((done) => this.#server.close(done));
  }

  #carry(from: Socket, toPort: number): void {
    if (this.#isCut) {
      from.destroy();
      return;
    }
    const to = connect(toPort, '127.0.0.1');
    for (const [one, other] of [
      [from, to],
      [to, from],
    ]) {
      this.#sockets.add(one);
      one.on('error', () => one.destroy());
      one.on('close', () => {
        this.#sockets.delete(one);
        other.destroy();
      });
      one.pipe(other);
    }
  }
}

/** A port that is free now, on loopback. */
export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as { port: number };
  await new Promise((done) => server.close(done));
  return port;
}
