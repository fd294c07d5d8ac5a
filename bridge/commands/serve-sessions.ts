import { fileURLToPath } from 'node:url';
import type { ServedSession } from '../serve/served-session.ts';
import type { RunningServer } from '../serve/server.ts';
import { serve } from '../serve/server.ts';
import { sessionRegistry } from '../serve/session-registry.ts';
import type { Terminal } from './terminal.ts';

export const DEFAULT_HTTP_PORT = 7310;

/** The built page lies beside the built bridge. */
const PAGE_FOLDER = fileURLToPath(new URL('../web', import.meta.url));

/** Serves sessions on this machine and says where; null where no port could be had. */
export async function serveSessions(
  sessions: ServedSession[],
  port: number,
  terminal: Terminal,
): Promise<RunningServer | null> {
  const registry = sessionRegistry();
  for (const session of sessions) registry.add(session);
  const outcome = await serve({ sessions: registry, pageFolder: PAGE_FOLDER, port, listen: null });
  if (!outcome.ok) {
    terminal.note(outcome.text);
    return null;
  }
  const { server } = outcome;
  if (port !== 0 && server.port !== port) terminal.note(`port ${port} is taken; using ${server.port}`);
  terminal.out(`page: ${server.url}`);
  return server;
}
