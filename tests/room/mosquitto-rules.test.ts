import { execFileSync } from 'node:child_process';
import { chmodSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync, type IClientOptions, type MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { temporaryFolder } from '../serial/pty.ts';
import { Mosquitto } from '../torture/mosquitto.ts';
import { freePort } from '../torture/tcp-relay.ts';
import { settle, until } from '../until.ts';

/** The two files of docs/room.md, run by the real Mosquitto, with certificates made here. */

const docs = readFileSync('docs/room.md', 'utf8');
const blocks = [...docs.matchAll(/```conf\n([\s\S]*?)```/g)].map(([, text]) => text);

let folder: string;
let port: number;
let mosquitto: Mosquitto;
const clients: MqttClient[] = [];

const openssl = (...args: string[]) => execFileSync('openssl', args, { cwd: folder, stdio: 'pipe' });

function makeCertificates(): void {
  const subject = (name: string) => ['-subj', `/CN=${name}`];
  openssl(
    'req',
    '-x509',
    '-newkey',
    'rsa:2048',
    '-nodes',
    '-keyout',
    'ca.key',
    '-out',
    'ca.pem',
    '-days',
    '2',
    ...subject('test authority'),
  );
  openssl(
    'req',
    '-newkey',
    'rsa:2048',
    '-nodes',
    '-keyout',
    'broker.key',
    '-out',
    'broker.csr',
    ...subject('localhost'),
  );
  writeFileSync(join(folder, 'san'), 'subjectAltName=DNS:localhost');
  openssl(
    'x509',
    '-req',
    '-in',
    'broker.csr',
    '-CA',
    'ca.pem',
    '-CAkey',
    'ca.key',
    '-CAcreateserial',
    '-out',
    'broker.pem',
    '-days',
    '2',
    '-extfile',
    'san',
  );
}

beforeAll(async () => {
  folder = temporaryFolder();
  // Mosquitto gives up its rights as root before it reads some of them.
  chmodSync(folder, 0o755);
  port = await freePort();
  makeCertificates();
  const [configuration, rules] = blocks;
  writeFileSync(join(folder, 'rooms.acl'), rules);
  for (const user of ['physics-1', 'bench-1', 'bench-2'])
    execFileSync('mosquitto_passwd', [
      '-b',
      ...(user === 'physics-1' ? ['-c'] : []),
      join(folder, 'passwords'),
      user,
      `${user}-password`,
    ]);
  execFileSync('chmod', ['-R', 'a+r', folder]);
  const here = configuration
    .replaceAll('/etc/mosquitto/certs/', `${folder}/`)
    .replaceAll('/etc/mosquitto/', `${folder}/`)
    .replace('listener 8883', `listener ${port} 127.0.0.1`)
    .replace('persistence true', 'persistence false');
  mosquitto = new Mosquitto(port, here);
  await mosquitto.start();
});
afterAll(async () => {
  for (const client of clients) client.end(true);
  await mosquitto?.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function enter(username: string, options: IClientOptions = {}): Promise<MqttClient> {
  const client = await connectAsync(`mqtts://localhost:${port}`, {
    ...{
      username,
      password: `${username}-password`,
      ca: readFileSync(join(folder, 'ca.pem')),
      reconnectPeriod: 0,
    },
    ...options,
  });
  clients.push(client);
  return client;
}

describe('Mosquitto with the rules of docs/room.md', () => {
  it('lets in who has a password, over TLS with a certificate that is trusted', async () => {
    await enter('bench-1');
    await expect(enter('bench-1', { password: 'wrong' })).rejects.toThrow();
    await expect(enter('bench-1', { ca: [] })).rejects.toThrow(/certificate/);
  });

  it('carries what each one may say, and nothing else', async () => {
    const [room, one, other] = [await enter('physics-1'), await enter('bench-1'), await enter('bench-2')];
    const heard: string[] = [];
    for (const [name, client] of [
      ['room', room],
      ['other', other],
    ] as const) {
      client.on('message', (topic) => heard.push(`${name} ${topic}`));
      await client.subscribeAsync('tenwire/#', { qos: 1 });
    }
    const may = ['bench-1/station', 'bench-1/run/summary', 'bench-1/run/chunk'];
    const mayNot = ['bench-2/run/chunk', 'bench-1/run/kept', 'bench-1/run/said', 'room', 'said'];
    for (const topic of [...mayNot, ...may])
      await one.publishAsync(`tenwire/physics-1/${topic}`, 'x', { qos: 1 });
    await until(() => heard.length >= may.length, 'what a station may say');
    await settle(100);
    expect(heard).toEqual(may.map((topic) => `room tenwire/physics-1/${topic}`));
    heard.length = 0;
    await room.publishAsync('tenwire/physics-1/bench-1/run/kept', 'x', { qos: 1 });
    await room.publishAsync('tenwire/physics-1/bench-2/run/kept', 'x', { qos: 1 });
    await until(() => heard.some((line) => line.startsWith('other')), 'what the room says to the other');
    expect(heard.filter((line) => line.startsWith('other'))).toEqual([
      'other tenwire/physics-1/bench-2/run/kept',
    ]);
  });
});
