import { rmSync } from 'node:fs';
import { connect as connectTcp } from 'node:net';
import { join } from 'node:path';
import { connectAsync, type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type OwnBroker, openOwnBroker } from '../../bridge/room/own-broker.ts';
import { StationSecrets } from '../../bridge/room/station-secrets.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { settle, until } from '../until.ts';

const TOKEN = 'the-token';
const secret = (letter: string): string => letter.repeat(32);

let folder: string;
let broker: OwnBroker;
let clients: MqttClient[];

async function open(): Promise<void> {
  const secrets = new StationSecrets(join(folder, 'stations.json'));
  const opened = await openOwnBroker({
    room: 'physics',
    address: '127.0.0.1',
    port: 0,
    token: TOKEN,
    secrets,
  });
  if (!opened.ok) throw new Error(opened.text);
  broker = opened.broker;
}

async function enter(username: string, password: string): Promise<MqttClient> {
  const client = await connectAsync(`mqtt://127.0.0.1:${broker.port}`, {
    ...{ username, password, reconnectPeriod: 0, connectTimeout: 5000 },
  });
  client.on('error', () => {});
  clients.push(client);
  return client;
}
const pair = (station: string, letter: string) => enter(station, `${TOKEN} ${secret(letter)}`);
const asRoom = () => enter(broker.login.user, broker.login.password);

beforeEach(async () => {
  folder = temporaryFolder();
  clients = [];
  await open();
});
afterEach(async () => {
  for (const client of clients) client.end(true);
  await broker.close();
  rmSync(folder, { recursive: true, force: true });
});

describe("the room's own broker", () => {
  it('pairs a station by the token once, and knows it by its secret from then on, also when it was started anew', async () => {
    await expect(enter('bench-1', secret('a'))).rejects.toThrow();
    await pair('bench-1', 'a');
    await enter('bench-1', secret('a'));
    await broker.close();
    await open();
    await enter('bench-1', secret('a'));
    await expect(enter('bench-2', secret('a'))).rejects.toThrow();
  });

  it('lets nobody have a name that is taken, until it is forgotten', async () => {
    await pair('bench-1', 'a');
    await expect(pair('bench-1', 'b')).rejects.toThrow();
    new StationSecrets(join(folder, 'stations.json')).forget('bench-1');
    await broker.close();
    await open();
    await pair('bench-1', 'b');
  });

  it('lets nobody in by a wrong token, and after ten of them not by the right one for a while', async () => {
    for (let tries = 0; tries < 10; tries += 1)
      await expect(enter('bench-1', `wrong ${secret('a')}`)).rejects.toThrow();
    await expect(pair('bench-1', 'a')).rejects.toThrow();
  });

  it('carries what a station has to say to the room, and nothing to another station', async () => {
    const [room, one, other] = [await asRoom(), await pair('bench-1', 'a'), await pair('bench-2', 'b')];
    const heard: string[] = [];
    room.on('message', (topic) => heard.push(topic));
    other.on('message', (topic) => heard.push(`other ${topic}`));
    await room.subscribeAsync('#', { qos: 1 });
    const granted = await other
      .subscribeAsync(['tenwire/physics/bench-2/+/kept', '#', 'tenwire/physics/bench-1/+/said'], {
        qos: 1,
      })
      .catch((error) => error);
    expect(JSON.stringify(granted)).toMatch(/128|Unspecified/);
    await one.publishAsync('tenwire/physics/bench-1/run/summary', 'x', { qos: 1, retain: true });
    await room.publishAsync('tenwire/physics/bench-1/run/said', 'y', { qos: 1 });
    await until(() => heard.includes('tenwire/physics/bench-1/run/said'), 'what the room said');
    expect(heard).toContain('tenwire/physics/bench-1/run/summary');
    expect(heard.filter((topic) => topic.startsWith('other'))).toEqual([]);
  });

  it.each([
    'tenwire/physics/bench-2/run/chunk',
    'tenwire/physics/bench-1/run/kept',
    'tenwire/physics/room',
    'tenwire/physics/said',
    'anything',
  ])('drops a station that writes to what is not its own: %s', async (topic) => {
    const [room, one] = [await asRoom(), await pair('bench-1', 'a')];
    const heard: string[] = [];
    room.on('message', (said) => heard.push(said));
    await room.subscribeAsync('#', { qos: 1 });
    let isDropped = false;
    one.on('close', () => {
      isDropped = true;
    });
    one.publish(topic, 'x', { qos: 1 });
    await until(() => isDropped, 'the connection dropped');
    expect(heard).toEqual([]);
  });

  it('drops whoever announces a message that is longer than any of ours, before it is in memory', async () => {
    const socket = connectTcp(broker.port, '127.0.0.1');
    let isClosed = false;
    socket.on('close', () => {
      isClosed = true;
    });
    socket.on('error', () => {});
    // A CONNECT of 200 MB (remaining length in four bytes).
    socket.write(Buffer.from([0x10, 0x80, 0x84, 0xaf, 0x5f]));
    await until(() => isClosed, 'the connection dropped');
  });

  it('goes on at bytes that are no MQTT', async () => {
    for (let tries = 0; tries < 50; tries += 1) {
      const socket = connectTcp(broker.port, '127.0.0.1');
      socket.on('error', () => {});
      socket.end(Buffer.from(Array.from({ length: 300 }, (_, index) => (index * 7919 * (tries + 1)) & 0xff)));
    }
    await settle(100);
    await pair('bench-1', 'a');
  });
});
