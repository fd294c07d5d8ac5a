import { hostname } from 'node:os';
import { resolve } from 'node:path';
import { recordingsFor } from '../room/leftovers.ts';
import { type RoomLogin, type RoomUrl, roomLogin } from '../room/room-url.ts';
import { Station } from '../room/station.ts';
import { stationLogins } from '../room/station-credential.ts';
import { isRoomName, roomNameFrom } from '../room/topics.ts';
import type { SessionRegistry } from '../session/session-registry.ts';
import type { Terminal } from './terminal.ts';

export interface RoomOptions {
  /** Null where this bench belongs to no room. */
  room: RoomUrl | null;
  /** This computer's name in the room; null for the user at the broker, or the name of the computer. */
  station: string | null;
}

/** What this computer is called in a room; the rules of a department's broker go by its user. */
export const stationNameOf = (station: string | null, { user }: Pick<RoomLogin, 'user'>): string =>
  station ?? user ?? roomNameFrom(hostname());

type Joined = { ok: true; station: Station } | { ok: false; text: string };

/** Sends the runs of a bridge to a room, and what an earlier start left over. */
export function joinRoom(
  { room: url, station }: RoomOptions & { room: RoomUrl },
  { home, recordingsFolder }: { home: string; recordingsFolder: string },
  sessions: SessionRegistry,
  terminal: Terminal,
): Joined {
  let login: RoomLogin;
  try {
    login = roomLogin(process.env);
  } catch (error) {
    return { ok: false, text: `TENWIRE_ROOM_CA: ${(error as Error).message}` };
  }
  const name = stationNameOf(station, login);
  if (!isRoomName(name))
    return {
      ok: false,
      text: `${name} is no name of a station: --station takes at most 24 lower-case letters, digits and single dashes, such as bench-4`,
    };
  const logins = stationLogins(resolve(home), url, name, login);
  const joined = new Station({ url, name, ca: login.ca, logins, note: (text) => terminal.note(text) });
  for (const path of recordingsFor(url.room, name, recordingsFolder)) joined.sendRest(path);
  joined.follow(sessions);
  terminal.note(`this computer is ${name} in the room ${url.room}`);
  return { ok: true, station: joined };
}
