import type { Server } from 'node:net';

export type Listening = { ok: true; port: number } | { ok: false; text: string };

/** How many ports after the wanted one are tried. */
const TRIES = 20;

/** Listens on `port`, or on the next free one. Port 0 lets the system choose. */
export async function listenOnFreePort(server: Server, host: string, port: number): Promise<Listening> {
  for (let candidate = port; candidate < port + TRIES && candidate <= 65_535; candidate += 1) {
    const error = await tryListen(server, host, candidate);
    if (error === null) return { ok: true, port: portOf(server) };
    if (error.code !== 'EADDRINUSE' && error.code !== 'EACCES') {
      return { ok: false, text: `Can't listen on ${host}:${candidate}: ${error.message}` };
    }
  }
  return { ok: false, text: `No free port from ${port} on; name another one.` };
}

function tryListen(server: Server, host: string, port: number): Promise<NodeJS.ErrnoException | null> {
  return new Promise((resolve) => {
    const failed = (error: NodeJS.ErrnoException) => resolve(error);
    server.once('error', failed);
    server.listen({ host, port, exclusive: true }, () => {
      server.off('error', failed);
      resolve(null);
    });
  });
}

function portOf(server: Server): number {
  const address = server.address();
  return address !== null && typeof address === 'object' ? address.port : 0;
}
