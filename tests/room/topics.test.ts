import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { placeOf } from '../../bridge/room/copies.ts';
import { readRoomUrl } from '../../bridge/room/room-url.ts';
import { runNameOf } from '../../bridge/room/station.ts';
import {
  heardByStation,
  isRoomName,
  isRunName,
  mayPublish,
  maySubscribe,
  readTopic,
  roomNameFrom,
  runTopic,
} from '../../bridge/room/topics.ts';

describe('the topics of a room', () => {
  const place = { station: 'bench-4', run: '2026-11-27T10-00-00Z-bench-4' };

  it('are read back as they were made', () => {
    for (const what of ['summary', 'chunk', 'kept', 'said'] as const)
      expect(readTopic('physics', runTopic('physics', place, what))).toEqual({ what, ...place });
    expect(readTopic('physics', 'tenwire/physics/room')).toEqual({ what: 'room' });
  });

  it.each([
    'tenwire/other/bench-4/run/chunk',
    'tenwire/physics/../run/chunk',
    'tenwire/physics/bench-4/../chunk',
    'tenwire/physics/bench-4/a--b/chunk',
    'tenwire/physics/bench-4/run.rec/../../x/chunk',
    'tenwire/physics/Bench 4/run/chunk',
    'tenwire/physics/bench-4/run/steer',
    'tenwire/physics/bench-4/run/chunk/more',
    'tenwire/physics/bench-4//chunk',
    '',
  ])('are none where a name is none: %s', (topic) => {
    expect(readTopic('physics', topic)).toBeNull();
  });

  it('let a station write under its own name, and only what a station has to say', () => {
    expect(mayPublish('physics', 'bench-4', runTopic('physics', place, 'chunk'))).toBe(true);
    expect(mayPublish('physics', 'bench-4', 'tenwire/physics/bench-4/station')).toBe(true);
    expect(mayPublish('physics', 'bench-5', runTopic('physics', place, 'chunk'))).toBe(false);
    for (const what of ['kept', 'said'] as const)
      expect(mayPublish('physics', 'bench-4', runTopic('physics', place, what))).toBe(false);
    for (const topic of ['tenwire/physics/room', 'tenwire/physics/said', 'tenwire/other/bench-4/station'])
      expect(mayPublish('physics', 'bench-4', topic)).toBe(false);
  });

  it('let a station read what is meant for it, and nothing wider', () => {
    for (const filter of heardByStation('physics', 'bench-4'))
      expect(maySubscribe('physics', 'bench-4', filter)).toBe(true);
    for (const filter of ['#', 'tenwire/#', 'tenwire/physics/+/+/kept', 'tenwire/physics/bench-5/+/said'])
      expect(maySubscribe('physics', 'bench-4', filter)).toBe(false);
  });
});

describe('names', () => {
  it('of any computer and of any recording become names that a topic and a file can carry', () => {
    fc.assert(
      fc.property(fc.string({ minLength: 1, maxLength: 120, unit: 'grapheme' }), (text) => {
        const name = roomNameFrom(text);
        expect(name === '' || isRoomName(name)).toBe(true);
        const run = runNameOf(`${text.replaceAll('/', '')}.rec`);
        expect(isRunName(run)).toBe(true);
      }),
    );
  });

  it('of two recordings stay apart', () => {
    expect(runNameOf('/a/bench ä.rec')).not.toBe(runNameOf('/a/bench ö.rec'));
  });

  it('of the files of a room tell station, run and copy apart', () => {
    expect(placeOf('bench-4--2026-run.rec')).toEqual({ station: 'bench-4', run: '2026-run', copy: 1 });
    expect(placeOf('bench-4--2026-run--3.rec')).toEqual({ station: 'bench-4', run: '2026-run', copy: 3 });
    for (const file of ['stations.json', 'bench-4.rec', 'Bench--x.rec', '--x.rec'])
      expect(placeOf(file)).toBeNull();
  });
});

describe('the address of a room', () => {
  it('has the usual port where none is named', () => {
    expect(readRoomUrl('mqtt://192.0.2.10/physics-1')).toMatchObject({
      url: { broker: 'mqtt://192.0.2.10:1883', room: 'physics-1' },
    });
    expect(readRoomUrl('mqtts://broker.example/physics-1')).toMatchObject({
      url: { broker: 'mqtts://broker.example:8883' },
    });
  });

  it.each([
    '192.0.2.10',
    'http://192.0.2.10/a',
    'mqtt://192.0.2.10',
    'mqtt://192.0.2.10/A b',
    'mqtt://a:b@x/y',
  ])('is refused with a reason: %s', (text) => {
    expect(readRoomUrl(text)).toMatchObject({ ok: false, text: expect.stringMatching(/./) });
  });
});
