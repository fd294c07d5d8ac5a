import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { allowRemoteAccess, linksFor } from '../../bridge/serve/remote-access.ts';
import { serve } from '../../bridge/serve/server.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { until } from '../until.ts';
import { handDrivenSession } from './hand-driven-session.ts';
import { pageClient } from './page-client.ts';

describe('letting others in', () => {
  it('gives new tokens every time, long enough not to be guessed, and none the same', () => {
    const all = Array.from({ length: 20 }, () => allowRemoteAccess('0.0.0.0').tokens).flatMap((tokens) => [
      tokens.watch,
      tokens.steer,
    ]);
    expect(new Set(all).size).toBe(40);
    for (const token of all) expect(token).toMatch(/^[\w-]{24}$/);
  });

  it('puts the token into the part of the link that is never sent to a server by itself', () => {
    const others = { address: '192.168.1.5', names: ['192.168.1.5'], tokens: { watch: 'aa', steer: 'bb' } };
    expect(linksFor(others, 7310)).toEqual({
      watch: 'http://192.168.1.5:7310/show#token=aa',
      watchBoard: 'http://192.168.1.5:7310/#token=aa',
      steer: 'http://192.168.1.5:7310/#token=bb',
    });
    expect(linksFor({ ...others, names: ['fd00::5'] }, 80).steer).toBe('http://[fd00::5]:80/#token=bb');
  });

  it('still lets only named hosts in, and this machine without a token', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'tenwire-others-'));
    writeFileSync(join(folder, 'index.html'), '<!doctype html>');
    const sessions = sessionRegistry();
    sessions.add(handDrivenSession().session);
    // Loopback only: the tests touch no other network. 127.0.0.2 stands for a name that was not given.
    const listen = { ...allowRemoteAccess('127.0.0.1'), names: ['bench.test'] };
    const outcome = await serve({ sessions, pageFolder: folder, port: 0, listen });
    if (!outcome.ok) throw new Error(outcome.text);
    const { server } = outcome;
    const page = await pageClient(server.port);
    await until(() => page.heard.length === 1, 'the welcome');
    const named = `bench.test:${server.port}`;
    const byName = await pageClient(server.port, { host: named, origin: `http://${named}` });
    await until(() => byName.heard.length === 1, 'the welcome by name');
    const foreign = `127.0.0.2:${server.port}`;
    const refused = await pageClient(server.port, { host: foreign, origin: `http://${foreign}` });
    await refused.closed();
    expect(refused.heard).toEqual([]);
    await server.close();
    rmSync(folder, { recursive: true });
  });
});
