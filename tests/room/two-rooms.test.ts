import { createHash } from 'node:crypto';
import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { chunkOf, jsonOf } from '../../bridge/room/messages.ts';
import { until } from '../until.ts';
import { Classroom } from './classroom.ts';

let classroom: Classroom;
afterEach(() => classroom?.close());

describe.each([
  ["the room's own broker", () => Classroom.open()],
  ['Mosquitto', () => Classroom.atMosquitto()],
] as const)('two rooms of one name at %s', (_broker, open) => {
  it('are one room: the second takes nothing in until the first has gone', async () => {
    classroom = await open();
    const first = classroom.room();
    const { session } = await classroom.bench('bench-1');
    await until(() => session.room()?.view().up === true, 'the first room');
    const second = classroom.room('others');
    await until(
      () => second.room.board().trouble?.includes('already there') === true,
      'the second to see the first',
    );
    await until(() => first.room.board().rows.length === 1, 'the bench at the first');
    expect(first.room.board().trouble).toBeNull();
    expect(second.room.board().rows).toEqual([]);
    expect(readdirSync(join(classroom.folder, 'others'))).toEqual([]);
    await first.close();
    await until(() => second.room.board().rows.length === 1, 'the bench at the second');
    await until(() => existsSync(join(classroom.folder, 'others', 'bench-1--bench-1.rec')), 'its copy');
    expect(second.room.board().trouble).toBeNull();
  }, 60_000);

  it('take no bytes in before they know that no other is there', async () => {
    classroom = await open();
    const { user: username, password } = classroom.login;
    const client = await connectAsync(classroom.address, { username, password });
    const bytes = Buffer.from('1 < a line of an invented recording\n');
    const before = createHash('sha256').update('').digest('hex');
    const chunk = chunkOf({ v: 1, copy: 1, offset: 0, before, bytes });
    const copies = () => readdirSync(join(classroom.folder, 'copies'));
    const topic = 'tenwire/physics/bench-9/run/chunk';
    const stream = setInterval(() => void client.publish(topic, chunk, { qos: 1 }), 30);
    const { room } = classroom.room();
    let linkedMs = 0;
    room.onChange(() => {
      if (room.board().trouble === null) linkedMs ||= performance.now();
    });
    await until(() => copies().length === 1, 'the bytes to be taken in');
    // It looks round for a second first; a busy computer only makes it longer.
    expect(performance.now() - linkedMs).toBeGreaterThan(900);
    clearInterval(stream);
    await client.endAsync();
  }, 60_000);

  it('do not hinder each other where the first only left its word, as after a power failure', async () => {
    classroom = await open();
    const { user: username, password } = classroom.login;
    const client = await connectAsync(classroom.address, { username, password });
    const word = jsonOf({ v: 1, id: '0-of-a-room-that-is-no-more', up: true, ended: false });
    await client.publishAsync('tenwire/physics/room', word, { qos: 1, retain: true });
    await client.endAsync();
    const { room } = classroom.room();
    await until(
      () => room.board().trouble?.includes('waiting for its answer') === true,
      'the old word heard',
    );
    await classroom.bench('bench-1');
    await until(() => room.board().rows.length === 1, 'the bench at the room that is there', 30_000);
    expect(room.board().trouble).toBeNull();
  }, 60_000);
});
