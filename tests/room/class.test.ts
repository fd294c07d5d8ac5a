import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { resultText } from '../../bridge/calc-core/rounding.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { settle, until } from '../until.ts';
import { Classroom } from './classroom.ts';

let classroom: Classroom;
beforeEach(async () => {
  classroom = await Classroom.open();
});
afterEach(() => classroom.close());

describe('a class', () => {
  it('is collected byte for byte, shown with what each bench calls for, and its results come from the recordings', async () => {
    const { room, sessions } = classroom.room();
    const sound = await classroom.bench('bench-1', { seed: 1, bench: { name: 'Bench 1' } });
    const faulty = await classroom.bench('bench-2', {
      ...{ seed: 2, bench: { name: 'Bench 2' } },
      apparatus: { faults: { cellsReversed: [2] } },
    });
    await until(() => room.board().rows.some(({ needs }) => needs === 'stop'), 'a bench that needs help');
    expect(room.board().rows[0]).toMatchObject({
      bench: 'Bench 2',
      summary: { finding: { severity: 'stop' } },
    });
    await until(
      () => sound.session.view().work.sets.filter((set) => 'ratio' in set && set.ratio !== null).length === 4,
      'four sets',
    );
    await sound.close();
    await faulty.close();
    await until(() => room.board().rows.every(({ summary }) => summary.ended), 'the end of both');
    for (const name of ['bench-1', 'bench-2']) {
      const copy = join(classroom.folder, 'copies', `${name}--${name}.rec`);
      expect(readFileSync(copy).equals(readFileSync(join(classroom.folder, `${name}.rec`)))).toBe(true);
    }
    expect(room.board()).toMatchObject({ results: 1, groups: [] });
    expect(room.board().rows.map(({ result }) => result)).toEqual([null, null]);
    room.show(true);
    await until(() => room.board().groups.length === 1, 'what the class found');
    // A touch that was under way at the end counts as far as it came, as in every report of the recording.
    const whole = await runFromRecording(join(classroom.folder, 'bench-1.rec'), await runMaker());
    if (!whole.ok) throw new Error(whole.fault.text);
    const reported = whole.run.view();
    const result = reported.work.outcome?.result;
    if (result == null) throw new Error('no result in the recording');
    // The copy is whole; what has been folded of it follows, and the class is worked out every other second.
    const found = () => ({ ...room.board().groups[0].results[0], unit: result.unit });
    await expect.poll(() => resultText(found()), { timeout: 30_000 }).toBe(resultText(result));
    const watched = sessions.get('bench-1/bench-1');
    expect(watched?.view().nulls).toEqual(reported.nulls);
    expect(watched?.view().work).toEqual(reported.work);
    expect(watched?.recordEvent({ kind: 'note', text: 'x' }).ok).toBe(false);
  });

  it('hears a call for the teacher, and the bench the answer', async () => {
    const { room } = classroom.room();
    const { session } = await classroom.bench('bench-1');
    const member = () => session.room()?.view();
    await until(() => member()?.up === true, 'the room');
    session.room()?.call(true);
    await until(() => room.board().rows.at(0)?.needs === 'calls', 'the call');
    room.say('I come to you.', { station: 'bench-1', run: 'bench-1' });
    await until(() => member()?.said === 'I come to you.', 'the answer');
    expect(member()?.calls).toBe(false);
    await until(() => room.board().rows.at(0)?.needs !== 'calls', 'the call answered');
    room.say('Ten minutes left.', null);
    room.say('', { station: 'bench-1', run: 'bench-1' });
    await until(() => member()?.said === 'Ten minutes left.', 'what is said to all');
  });

  it('shows a bench that vanished, and takes it up where it was when it is back', async () => {
    const { room } = classroom.room();
    const { session } = await classroom.bench('bench-1');
    await until(() => room.board().rows.length === 1, 'the bench');
    const client = await connectAsync(classroom.address, { ...loginOf(classroom), reconnectPeriod: 0 });
    // What its last will says.
    await client.publishAsync('tenwire/physics/bench-1/station', '{"v":1,"up":false}', {
      qos: 1,
      retain: true,
    });
    await until(() => room.board().rows.at(0)?.needs === 'vanished', 'the bench gone');
    await client.endAsync();
    expect(session.room()?.view().up).toBe(true);
  });

  it('has a row for each board of one computer, also where two benches have one name', async () => {
    const { room } = classroom.room();
    const runs = [
      await classroom.run('a', { bench: { name: 'Bench 1' } }),
      await classroom.run('b', { bench: { name: 'Bench 2' }, seed: 2 }),
      await classroom.run('c', { bench: { name: 'Bench 2' }, seed: 3 }),
    ];
    classroom.station('front', runs);
    const rows = () => room.board().rows.map(({ bench, station }) => `${station} ${bench}`);
    await until(() => rows().length === 3, 'all three', 30_000);
    expect(rows().sort()).toEqual(['front Bench 1', 'front Bench 2', 'front Bench 2']);
  }, 60_000);

  it('shows the run that a bench began last', async () => {
    const { room } = classroom.room();
    const first = await classroom.run('first', { bench: { name: 'Bench 1' } });
    const close = classroom.station('bench-1', [first]);
    await until(() => room.board().rows.length === 1, 'the first run');
    await close();
    classroom.station('bench-1', [await classroom.run('second', { bench: { name: 'Bench 1' }, seed: 2 })]);
    await until(() => room.board().rows.at(0)?.run === 'second', 'the second run');
    expect(room.board().rows).toHaveLength(1);
  });

  it('lets go the live pages of runs that are over where there are too many, and keeps what they found', async () => {
    const { room, sessions } = classroom.room('copies', { mostOpen: 1 });
    room.show(true);
    const first = await classroom.run('first', { bench: { name: 'Bench 1' } });
    const close = classroom.station('bench-1', [first]);
    await until(() => room.board().groups.at(0)?.results.length === 1, 'what the first found', 30_000);
    await close();
    await until(() => room.board().rows.at(0)?.summary.ended === true, 'its end');
    classroom.station('bench-2', [await classroom.run('second', { bench: { name: 'Bench 2' }, seed: 2 })]);
    await until(() => room.board().groups.at(0)?.results.length === 2, 'what both found', 30_000);
    expect(sessions.list().map(({ id }) => id)).toEqual(['bench-2/second']);
    expect(room.board().rows.map(({ bench, session }) => [bench, session])).toEqual([
      ['Bench 1', null],
      ['Bench 2', 'bench-2/second'],
    ]);
  }, 90_000);

  it('is told by a room whose broker went away that it hears nothing; the runs go on', async () => {
    const { room } = classroom.room();
    const { session } = await classroom.bench('bench-1', {}, 5);
    await until(() => room.board().rows.length === 1, 'the bench');
    await classroom.stopBroker();
    await until(
      () => room.board().trouble !== null && session.room()?.view().up === false,
      'the broker away',
    );
    const { samples } = session.view().stream;
    await until(() => session.view().stream.samples > samples + 100, 'the run going on');
    expect(room.board().rows).toHaveLength(1);
    await classroom.startBroker(0);
  }, 60_000);

  it('leaves nothing at the broker when it ends, and takes nothing in any more', async () => {
    const { room } = classroom.room();
    await classroom.bench('bench-1', {}, 5);
    await until(() => room.board().rows.length === 1, 'the bench');
    room.say('The end.', null);
    room.endClass();
    let retained = await retainedAt(classroom);
    for (let looks = 0; looks < 50 && retained.length > 1; looks += 1) retained = await retainedAt(classroom);
    expect(retained).toEqual(['tenwire/physics/room']);
    // Nothing comes back once the run goes on.
    await settle(1500);
    expect(await retainedAt(classroom)).toEqual(['tenwire/physics/room']);
  });
});

/** What whoever comes now is told at once. */
async function retainedAt(at: Classroom): Promise<string[]> {
  const client = await connectAsync(at.address, { ...loginOf(at), reconnectPeriod: 0 });
  const retained: string[] = [];
  let isAll = false;
  client.on('message', (topic, payload, packet) => {
    if (topic === 'tenwire/physics/check') isAll = true;
    else if (packet.retain && payload.length > 0) retained.push(topic);
  });
  await client.subscribeAsync('tenwire/#', { qos: 1 });
  await client.publishAsync('tenwire/physics/check', 'x', { qos: 1 });
  await until(() => isAll, 'all that is retained');
  await client.endAsync();
  return retained;
}

/** By the room's own right. */
const loginOf = ({ login }: Classroom) => ({ username: login.user, password: login.password });
