import { mkdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { recordingsFor } from '../../bridge/room/leftovers.ts';
import { readPassword, stationLogins } from '../../bridge/room/station-credential.ts';
import { temporaryFolder } from '../serial/pty.ts';

const NOTHING = { user: null, password: null, token: null, ca: null };

let folder: string;
beforeEach(() => {
  folder = temporaryFolder();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const secretOf = (station: string, room = 'physics'): string =>
  stationLogins(folder, { room }, station, NOTHING)[0].password;

describe('the secret of a station', () => {
  it('stays, readable by its user alone, and is another one for another station or room in the same folder', () => {
    const secrets = [secretOf('bench-1'), secretOf('bench-2'), secretOf('bench-1', 'chemistry')];
    expect(new Set(secrets).size).toBe(3);
    expect([secretOf('bench-1'), secretOf('bench-2'), secretOf('bench-1', 'chemistry')]).toEqual(secrets);
    expect(statSync(join(folder, 'room-credentials.json')).mode & 0o077).toBe(0);
  });

  it('is made anew where the file was damaged', () => {
    writeFileSync(join(folder, 'room-credentials.json'), '{"physics');
    expect(secretOf('bench-1')).toBe(secretOf('bench-1'));
  });

  it('is shown by itself first, and with the token where there is one', () => {
    const logins = stationLogins(folder, { room: 'physics' }, 'bench-1', { ...NOTHING, token: 'token' });
    expect(logins.map(({ password }) => readPassword(password))).toEqual([
      { token: null, secret: secretOf('bench-1') },
      { token: 'token', secret: secretOf('bench-1') },
    ]);
  });

  it('is not asked for where the broker knows users of its own', () => {
    const login = { ...NOTHING, user: 'bench-1', password: 'p' };
    expect(stationLogins(folder, { room: 'physics' }, 'bench-1', login)).toEqual([
      { user: 'bench-1', password: 'p' },
    ]);
  });
});

describe('recordings that are left over', () => {
  it('are those that this station made for this room', () => {
    const recordings = join(folder, 'recordings');
    mkdirSync(recordings);
    const write = (name: string, event: object | null) =>
      writeFileSync(
        join(recordings, name),
        `#tenwire-recording 1\n0 ! {"kind":"bench","bench":{"name":"the \\"room\\""}}\n${event === null ? '' : `1 ! ${JSON.stringify(event)}\n`}`,
      );
    write('own.rec', { kind: 'room', room: 'physics', station: 'bench-1' });
    write('other-room.rec', { kind: 'room', room: 'chemistry', station: 'bench-1' });
    write('other-station.rec', { kind: 'room', room: 'physics', station: 'bench-2' });
    write('alone.rec', null);
    write('notes.txt', { kind: 'room', room: 'physics', station: 'bench-1' });
    expect(recordingsFor('physics', 'bench-1', recordings)).toEqual([join(recordings, 'own.rec')]);
    expect(recordingsFor('physics', 'bench-1', join(folder, 'none'))).toEqual([]);
  });
});
