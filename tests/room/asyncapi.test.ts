import { readFileSync } from 'node:fs';
import { Ajv } from 'ajv';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readTopic } from '../../bridge/room/topics.ts';
import { until } from '../until.ts';
import { Classroom } from './classroom.ts';

/** What a room and a bench really say, against what docs/room.asyncapi.json says of it. */

interface Described {
  channels: Record<string, { address: string; messages: Record<string, { $ref: string }> }>;
  components: {
    messages: Record<string, { payload: { $ref?: string; schema?: { $ref: string } } }>;
    schemas: object;
  };
}
const described: Described = JSON.parse(readFileSync('docs/room.asyncapi.json', 'utf8'));
const ajv = new Ajv2020({ strict: false });
ajv.addSchema(described, 'room');

const channelOf = (topic: string) =>
  Object.values(described.channels).find(({ address }) =>
    new RegExp(`^${address.replaceAll(/\{\w+\}/g, '[^/]+')}$`).test(topic),
  );

function fits(topic: string, payload: Buffer): boolean {
  const [message] = Object.keys(channelOf(topic)?.messages ?? {});
  const { $ref, schema } = described.components.messages[message].payload;
  const feed = payload.indexOf(0x0a);
  const json = schema === undefined ? payload : payload.subarray(0, feed);
  return ajv.validate({ $ref: `room${$ref ?? schema?.$ref}` }, JSON.parse(json.toString()));
}

let classroom: Classroom;
const heard: { topic: string; payload: Buffer }[] = [];

beforeAll(async () => {
  classroom = await Classroom.open();
  const { user: username, password } = classroom.login;
  const client = await connectAsync(classroom.address, { username, password });
  client.on('message', (topic, payload) => heard.push({ topic, payload }));
  await client.subscribeAsync('tenwire/#', { qos: 1 });
  const { room } = classroom.room();
  const { session, close } = await classroom.bench('bench-1');
  await until(() => session.room()?.view().up === true, 'the room');
  room.say('Good morning.', null);
  await until(() => room.board().rows.at(0)?.hasResult === true, 'a result');
  room.say('Well done.', { station: 'bench-1', run: 'bench-1' });
  await close();
  await until(() => room.board().rows.at(0)?.summary.ended === true, 'the end');
  client.end();
}, 60_000);
afterAll(() => classroom?.close());

describe('the description of what rooms and benches say', () => {
  it('is AsyncAPI 3.0.0, by the schema that its authors publish', () => {
    const schema = readFileSync('node_modules/@asyncapi/specs/schemas/3.0.0-without-$id.json', 'utf8');
    const judge = new Ajv({ strict: false, validateFormats: false });
    expect(judge.validate(JSON.parse(schema), described), JSON.stringify(judge.errors)).toBe(true);
    expect(judge.validate(JSON.parse(schema), { ...described, channels: [] })).toBe(false);
  });

  it('has a channel for each topic that is used, and each message is as it says', () => {
    expect(new Set(heard.map(({ topic }) => readTopic('physics', topic)?.what ?? topic))).toEqual(
      new Set(['room', 'station', 'summary', 'chunk', 'kept', 'said', 'tenwire/physics/said']),
    );
    for (const { topic, payload } of heard) expect([topic, fits(topic, payload)]).toEqual([topic, true]);
  });

  it('tells a message that is none', () => {
    const summary = heard.find(({ topic }) => topic.endsWith('/summary'));
    if (summary === undefined) throw new Error('no summary was heard');
    const { bytes: _, ...less } = JSON.parse(summary.payload.toString());
    expect(fits(summary.topic, Buffer.from(JSON.stringify(less)))).toBe(false);
  });
});
