import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { connect } from 'node:net';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { allowRemoteAccess } from '../../bridge/serve/remote-access.ts';
import { type RunningServer, type ServeOptions, serve } from '../../bridge/serve/server.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { settle, until } from '../until.ts';
import { handDrivenSession } from './hand-driven-session.ts';
import { pageClient } from './page-client.ts';

/** An address of this machine that is not its loopback: who comes from there is a stranger. */
const OUTSIDE = Object.values(networkInterfaces())
  .flatMap((addresses) => addresses ?? [])
  .find(({ internal, family }) => !internal && family === 'IPv4')?.address;

let folder: string;
let running: RunningServer[];
let sessions: ReturnType<typeof sessionRegistry>;
let bench: ReturnType<typeof handDrivenSession>;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-serve-'));
  writeFileSync(join(folder, 'index.html'), '<!doctype html><title>page</title>');
  running = [];
  sessions = sessionRegistry();
  bench = handDrivenSession();
  sessions.add(bench.session);
});

afterEach(async () => {
  for (const server of running) await server.close();
  rmSync(folder, { recursive: true });
});

async function start(options: Partial<ServeOptions> = {}): Promise<RunningServer> {
  const outcome = await serve({ sessions, pageFolder: folder, port: 0, listen: null, ...options });
  if (!outcome.ok) throw new Error(outcome.text);
  running.push(outcome.server);
  return outcome.server;
}

/** What the server answers to bytes as they stand, until it hangs up. */
function raw(port: number, bytes: string): Promise<string> {
  return new Promise((resolve, reject) => {
    let got = '';
    const socket = connect(port, '127.0.0.1', () => socket.write(bytes));
    socket.on('data', (chunk) => {
      got += chunk;
    });
    socket.on('end', () => resolve(got));
    socket.on('error', reject);
  });
}

function get(port: number, path: string, host?: string, method = 'GET'): Promise<number> {
  return new Promise((resolve, reject) => {
    const headers = host === undefined ? {} : { Host: host };
    request({ port, path, method, headers, host: '127.0.0.1' }, (response) => {
      response.resume();
      resolve(response.statusCode ?? 0);
    })
      .on('error', reject)
      .end();
  });
}

describe('HTTP', () => {
  it('gives the page at every address of it, and only for reading', async () => {
    const { port } = await start();
    expect(await get(port, '/')).toBe(200);
    expect(await get(port, '/show')).toBe(200);
    expect(await get(port, '/', `localhost:${port}`)).toBe(200);
    expect(await get(port, '/', undefined, 'POST')).toBe(405);
  });

  it.each(['evil.example', 'localhost', 'localhost:1', 'localhost:PORT.evil.example', 'xlocalhost:PORT'])(
    'refuses the name %s',
    async (host) => {
      const { port } = await start();
      expect(await get(port, '/', host.replace('PORT', String(port)))).toBe(421);
    },
  );

  it.each(['//', 'http://[', '//[::'])('answers the target %s, which is no address', async (target) => {
    const { port } = await start();
    const head = `GET ${target} HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\n`;
    expect(await raw(port, `${head}Connection: close\r\n\r\n`)).toMatch(/^HTTP\/1\.1 400 /);
    const upgrade = `${head}Origin: http://127.0.0.1:${port}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n\r\n`;
    expect(await raw(port, upgrade)).toMatch(/^HTTP\/1\.1 400 /);
    expect(await get(port, '/')).toBe(200);
  });

  it('hangs up on a refused upgrade, and closes whatever the other side keeps open', async () => {
    const server = await start();
    const head = `GET /live HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n`;
    const hungUp = (bytes: string) =>
      new Promise<void>((resolve) => {
        // Half open: this side does not hang up when the other one does, and goes on writing.
        const socket = connect({ port: server.port, host: '127.0.0.1', allowHalfOpen: true });
        socket.write(bytes);
        const writing = setInterval(() => socket.write('x'), 10);
        socket.resume().on('error', () => {});
        socket.on('close', () => {
          clearInterval(writing);
          resolve();
        });
      });
    await Promise.all([1, 2, 3].map(() => hungUp(`${head}Origin: http://evil.example\r\n\r\n`)));
    const open = [hungUp(''), hungUp(head)];
    await get(server.port, '/');
    await server.close();
    await Promise.all(open);
  });

  it('names an address of its own at which it is reached', async () => {
    for (const listen of [
      null,
      allowRemoteAccess('127.0.0.1'),
      allowRemoteAccess('0.0.0.0'),
      allowRemoteAccess('::1'),
    ]) {
      const { url } = await start({ listen });
      expect((await fetch(url)).status).toBe(200);
      const tokened = listen !== null && listen.address !== '0.0.0.0';
      expect(url.endsWith(tokened ? `#token=${listen.tokens.steer}` : '/')).toBe(true);
    }
  });

  it('keeps to its folder', async () => {
    writeFileSync(join(folder, '..', 'tenwire-secret'), 'secret');
    const { port } = await start();
    const text = await (await fetch(`http://127.0.0.1:${port}/..%2ftenwire-secret`)).text();
    rmSync(join(folder, '..', 'tenwire-secret'));
    expect(text).not.toContain('secret');
  });

  it('takes the next free port', async () => {
    const first = await start();
    const second = await start({ port: first.port });
    expect(second.port).toBeGreaterThan(first.port);
  });
});

describe('who is let in', () => {
  const refused = async (port: number, options: Parameters<typeof pageClient>[1]) => {
    const client = await pageClient(port, options);
    await client.closed();
    return client.heard.length === 0;
  };

  it('refuses foreign, missing, null and nearly right origins', async () => {
    const { port } = await start();
    const origins = [
      'http://evil.example',
      null,
      'null',
      `https://127.0.0.1:${port}`,
      `http://127.0.0.1:${port}0`,
    ];
    for (const origin of origins) expect(await refused(port, { origin })).toBe(true);
    expect(await refused(port, { origin: `http://localhost:${port}` })).toBe(true);
  });

  it('refuses a foreign Host even where the Origin agrees with it', async () => {
    const { port } = await start();
    const host = `evil.example:${port}`;
    expect(await refused(port, { host, origin: `http://${host}` })).toBe(true);
  });

  it('refuses more pages than it has room for', async () => {
    const server = await start({ places: { viewers: 3 } });
    const clients = await Promise.all(Array.from({ length: 40 }, () => pageClient(server.port)));
    await until(
      () => clients.filter((client) => client.heard.length > 0).length === 3,
      'all three are welcome',
    );
    expect(server.viewers()).toBe(3);
  });

  it.runIf(OUTSIDE !== undefined)('keeps places for those that steer and for this machine', async () => {
    const address = OUTSIDE ?? '';
    const listen = { ...allowRemoteAccess('0.0.0.0'), names: [address] };
    const server = await start({ listen, places: { viewers: 6, guests: 4 } });
    const { watch, steer } = listen.tokens;
    const from = (token: string, role: string) => pageClient(server.port, { address, token, role });
    const guests = await Promise.all(Array.from({ length: 10 }, () => from(watch, 'watch')));
    await until(() => guests.filter(({ heard }) => heard.length > 0).length === 4, 'four guests are in');
    const kept = [await from(steer, 'steer'), await pageClient(server.port, { role: 'watch' })];
    await until(() => kept.every(({ heard }) => heard[0]?.type === 'welcome'), 'both others are in');
    expect(server.viewers()).toBe(6);
  });

  it('drops pages that open none of the runs there are, and no others', async () => {
    const server = await start({ limits: { idleMs: 150 } });
    const idle = await pageClient(server.port);
    const watching = await pageClient(server.port, { acks: true });
    watching.send({ type: 'open', session: 'bench-4' });
    await idle.closed();
    expect(server.viewers()).toBe(1);
    sessions.remove('bench-4');
    await until(() => watching.heard.some(({ type }) => type === 'gone'), 'the run is gone');
    const beats = () => watching.heard.filter(({ type }) => type === 'beat').length;
    const before = beats();
    await until(() => beats() > before + 3, 'some beats more');
    expect(server.viewers()).toBe(1);
  });

  it('lets requests that are held back half-way make room for others', async () => {
    const server = await start({ places: { connections: 20 } });
    const page = await pageClient(server.port);
    const halves = Array.from({ length: 60 }, () => connect(server.port, '127.0.0.1'));
    const closed = halves.map(
      (half) => new Promise((resolve) => half.on('error', resolve).on('close', resolve)),
    );
    for (const half of halves) half.write('GET / HTTP/1.1\r\nHost: ');
    await Promise.all(closed.slice(0, 30));
    expect(await get(server.port, '/')).toBe(200);
    expect(page.socket.readyState).toBe(page.socket.OPEN);
    for (const half of halves) half.destroy();
  });

  it('forgets hundreds of pages that came and went', async () => {
    const server = await start();
    for (let round = 0; round < 6; round += 1) {
      const clients = await Promise.all(Array.from({ length: 50 }, () => pageClient(server.port)));
      for (const client of clients) client.socket.terminate();
    }
    await until(() => server.viewers() === 0, 'no viewer is left');
    expect(bench.listeners()).toBe(3);
  });
});

describe('a page', () => {
  it('is greeted, and brought up to date when it opens a run late', async () => {
    const { port } = await start();
    for (let index = 0; index < 500; index += 1) bench.read({ atS: index / 200, currentUa: index });
    const page = await pageClient(port);
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().length === 1, 'frame 1');
    expect(page.heard[0]).toMatchObject({ type: 'welcome', role: 'steer', sessions: [{ id: 'bench-4' }] });
    const [frame] = page.frames();
    expect(frame.anew).toBe(true);
    expect(frame.points?.tS).toHaveLength(500);
    expect(frame.now?.currentUa).toBe(499);
    expect(frame.view?.nulls).toEqual(bench.session.view().nulls);
    expect(frame.view?.next).toBeDefined();
  });

  it('gets only what changed', async () => {
    const { port } = await start();
    const page = await pageClient(port, { acks: true });
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().length === 1, 'frame 1');
    bench.change({ durationS: 99 });
    await until(() => page.frames().length === 2, 'frame 2');
    expect(page.frames()[1]).toMatchObject({ changes: [[['durationS'], 99]] });
    expect(page.frames()[1].points).toBeUndefined();
  });

  it('gets only the null that changed', async () => {
    const { port } = await start();
    const page = await pageClient(port, { acks: true });
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().length === 1, 'frame 1');
    const [first, second] = bench.session.view().nulls;
    const rejected = { ...second, rejected: 'slipped', used: false };
    bench.change({ nulls: [first, rejected] });
    await until(() => page.frames().length === 2, 'frame 2');
    const changesOfNulls = page.frames()[1].changes?.filter(([path]) => path[0] === 'nulls');
    expect(changesOfNulls).toEqual([
      [['nulls', 1, 'used'], false],
      [['nulls', 1, 'rejected'], 'slipped'],
    ]);
    bench.change({ nulls: [first] });
    await until(() => page.frames().length === 3, 'frame 3');
    expect(page.frames()[2].changes).toContainEqual([['nulls', 'length'], 1]);
  });

  it('does not make the bridge look at the run for every reading, nor at all while nobody watches', async () => {
    const { port } = await start();
    let looks = 0;
    const { session } = bench;
    const view = session.view;
    session.view = () => {
      looks += 1;
      return view();
    };
    const feedFor = async (count: number) => {
      for (let index = 0; index < count; index += 1) {
        bench.read({ atS: index / 200 });
        await settle(5);
      }
    };
    await feedFor(60);
    expect(looks).toBe(0);
    const page = await pageClient(port, { acks: true });
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().length === 1, 'frame 1');
    const beganMs = performance.now();
    await feedFor(60);
    expect(looks).toBeGreaterThan(0);
    // Once in 150 ms at most, and once at its opening.
    expect(looks).toBeLessThanOrEqual(2 + (performance.now() - beganMs) / 150);
    expect(page.frames().length).toBeGreaterThan(looks);
  });

  it('gets every number to the last digit', async () => {
    const { port } = await start();
    const page = await pageClient(port, { acks: true });
    const odd = 0.1 + 0.2 + 1e-15;
    bench.change({ durationS: odd });
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().some((frame) => frame.view?.durationS === odd), 'the number');
  });

  it('that never acknowledges gets two frames, then one with all that was missed', async () => {
    const { port } = await start();
    const page = await pageClient(port);
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().length === 1, 'frame 1');
    for (let index = 0; index < 300; index += 1) {
      bench.read({ atS: index / 200 });
      if (index % 30 === 0) await settle(20);
    }
    await page.hasHeardAll();
    expect(page.frames()).toHaveLength(2);
    const seen = page.frames()[1].points?.tS.length ?? 0;
    page.send({ type: 'ack', frame: 2 });
    await until(() => page.frames().length === 3, 'frame 3');
    expect(page.frames()[2].points?.tS).toHaveLength(300 - seen);
  });

  it('that acknowledges slowly gets fewer frames than a quick one', async () => {
    const { port } = await start();
    const quick = await pageClient(port, { acks: true });
    const slow = await pageClient(port);
    for (const page of [quick, slow]) page.send({ type: 'open', session: 'bench-4' });
    await until(() => quick.frames().length === 1 && slow.frames().length === 1, 'the first frames');
    for (let index = 0; index < 40; index += 1) {
      bench.read({ atS: index / 200 });
      if (index % 10 === 9) slow.send({ type: 'ack', frame: slow.frames().length });
      await until(() => quick.frames().length === index + 2, `frame ${index + 2}`);
    }
    await until(
      () => slow.frames().at(-1)?.points?.tS.at(-1) === 0.1945 || slow.frames().length >= 4,
      'the last reading, or a fourth frame',
    );
    expect(slow.frames().length).toBeLessThan(quick.frames().length / 3);
  });

  it('that stays silent for long is dropped', async () => {
    const server = await start({ limits: { silenceMs: 100 } });
    const page = await pageClient(server.port);
    page.send({ type: 'open', session: 'bench-4' });
    await page.closed();
    await until(() => server.viewers() === 0, 'no viewer is left');
  });

  it('draws anew after a jump of a replay', async () => {
    const { port } = await start();
    const page = await pageClient(port, { acks: true });
    page.send({ type: 'open', session: 'bench-4' });
    bench.read({ atS: 50 });
    await until(
      () => page.frames().some((frame) => frame.points?.tS.includes(50)),
      'the reading before the jump',
    );
    bench.beginAnew();
    bench.read({ atS: 3 });
    await until(
      () => page.frames().some((frame) => frame.anew === true && frame.points?.tS[0] === 3),
      'the drawing anew',
    );
  });

  it('is told when its run ends and when another begins', async () => {
    const { port } = await start();
    const page = await pageClient(port, { acks: true });
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().length === 1, 'frame 1');
    sessions.add(handDrivenSession('bench-5').session);
    sessions.remove('bench-4');
    await until(() => page.heard.some((message) => message.type === 'gone'), 'the end of the run');
    expect(page.heard.at(-1)).toMatchObject({ type: 'sessions', sessions: [{ id: 'bench-5' }] });
    expect(bench.listeners()).toBe(0);
  });
});

describe('steering', () => {
  it('passes a sound event on and answers', async () => {
    const { port } = await start();
    const page = await pageClient(port);
    page.send({ type: 'open', session: 'bench-4' });
    page.send({ type: 'event', request: 7, event: { kind: 'reject', null: 'n1', reason: 'jockey slipped' } });
    await until(() => page.heard.some((message) => message.type === 'answer'), 'the answer');
    expect(page.heard.find((message) => message.type === 'answer')).toMatchObject({ request: 7, ok: true });
    expect(bench.recorded).toEqual([{ kind: 'reject', null: 'n1', reason: 'jockey slipped' }]);
  });

  it('is refused to a page that only watches', async () => {
    const { port } = await start();
    const page = await pageClient(port, { role: 'watch' });
    page.send({ type: 'open', session: 'bench-4' });
    page.send({ type: 'event', request: 1, event: { kind: 'cell', cell: 2 } });
    page.send({ type: 'play', playing: false });
    page.send({ type: 'hand', order: { pressed: true } });
    await until(
      () => page.heard.filter((message) => ['answer', 'error'].includes(message.type)).length === 3,
      'three refusals',
    );
    expect(bench.recorded).toEqual([]);
    expect(bench.played).toEqual([]);
    expect(bench.ordered).toEqual([]);
  });

  it('moves the hand of a simulated bench', async () => {
    const { port } = await start();
    const page = await pageClient(port);
    page.send({ type: 'open', session: 'bench-4' });
    page.send({ type: 'hand', order: { to: { row: 3, scaleCm: 20.5 }, switches: { cell: 2 } } });
    await until(() => bench.ordered.length === 1, 'the order');
    expect(bench.ordered).toEqual([{ to: { row: 3, scaleCm: 20.5 }, switches: { cell: 2 } }]);
    page.socket.send('{"type":"hand","order":{"to":{"row":0,"scaleCm":1}}}');
    page.socket.send('{"type":"hand","order":{"switches":{"leadOhm":9}}}');
    await until(() => page.heard.filter((message) => message.type === 'error').length === 2, 'two refusals');
    expect(bench.ordered).toHaveLength(1);
  });

  it.each([
    { kind: 'link', up: false },
    { kind: 'bench', bench: {} },
    { kind: 'resumed' },
    { kind: 'cell', cell: 9 },
    { kind: 'reject', null: 'x' },
    { kind: 'no such thing' },
  ])('never passes on %j', async (event) => {
    const { port } = await start();
    const page = await pageClient(port);
    page.send({ type: 'open', session: 'bench-4' });
    page.socket.send(JSON.stringify({ type: 'event', request: 1, event }));
    await until(() => page.heard.some((message) => message.type === 'error'), 'the refusal');
    expect(bench.recorded).toEqual([]);
  });
});

describe('hostile input', () => {
  it('answers garbage, then drops the page, and serves the next one', async () => {
    const { port } = await start();
    const page = await pageClient(port);
    for (const junk of [
      '',
      '{',
      'null',
      '[]',
      '{"type":"ack","frame":-1}',
      '{"type":"__proto__"}',
      '1e999',
    ]) {
      page.socket.send(junk);
    }
    page.socket.send(Buffer.from([0, 255, 1]));
    await until(
      () => page.heard.filter((message) => message.type === 'error').length === 8,
      'eight refusals',
    );
    for (let index = 0; index < 5; index += 1) page.socket.send('more');
    await page.closed();
    const next = await pageClient(port);
    next.send({ type: 'open', session: 'bench-4' });
    await until(() => next.frames().length === 1, 'frame 1');
  });

  it('drops a page whose message is too long', async () => {
    const server = await start();
    const page = await pageClient(server.port);
    page.socket.send('x'.repeat(5000));
    await page.closed();
    await until(() => server.viewers() === 0, 'no viewer is left');
  });

  it('outlives a handshake and a frame cut at every byte', async () => {
    const server = await start();
    const handshake = Buffer.from(
      [
        'GET /live?role=steer HTTP/1.1',
        `Host: 127.0.0.1:${server.port}`,
        `Origin: http://127.0.0.1:${server.port}`,
        'Connection: Upgrade',
        'Upgrade: websocket',
        'Sec-WebSocket-Version: 13',
        'Sec-WebSocket-Key: MDEyMzQ1Njc4OWFiY2RlZg==',
        '',
        '',
      ].join('\r\n'),
    );
    // A masked text frame that says {"type":"ack","frame":1}, mask zero.
    const payload = Buffer.from('{"type":"ack","frame":1}');
    const frame = Buffer.concat([Buffer.from([0x81, 0x80 | payload.length, 0, 0, 0, 0]), payload]);
    const bytes = Buffer.concat([handshake, frame]);
    for (let cut = 1; cut < bytes.length; cut += 1) {
      const socket = connect(server.port, '127.0.0.1');
      socket.on('error', () => {});
      await new Promise<void>((resolve) => socket.write(bytes.subarray(0, cut), () => resolve()));
      socket.destroy();
    }
    await until(() => server.viewers() === 0, 'no viewer is left');
    const page = await pageClient(server.port);
    page.send({ type: 'open', session: 'bench-4' });
    await until(() => page.frames().length === 1, 'frame 1');
  });

  it('closes while pages are connected and one is half way through its handshake', async () => {
    const server = await start();
    const page = await pageClient(server.port, { acks: true });
    const half = connect(server.port, '127.0.0.1');
    half.on('error', () => {});
    half.write('GET /live HTTP/1.1\r\nHost:');
    await server.close();
    await page.closed();
    running = [];
  });
});
