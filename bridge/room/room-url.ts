import { readFileSync } from 'node:fs';
import { isRoomName } from './topics.ts';

/** Where a room is, and what opens it. Secrets come from the environment: a process list shows every option. */

export interface RoomLogin {
  /** A broker's own user and password. */
  user: string | null;
  password: string | null;
  /** The room's token, which pairs a station with the room's own broker. */
  token: string | null;
  /** PEM of the authority that signed a broker's certificate; null for those that this computer trusts anyway. */
  ca: Buffer | null;
}

export interface RoomUrl {
  /** `mqtt://host:port` or `mqtts://host:port`. */
  broker: string;
  room: string;
}

type UrlReading = { ok: true; url: RoomUrl } | { ok: false; text: string };

const refused = (text: string): UrlReading => ({ ok: false, text });

/** Reads `mqtt://host[:port]/NAME`. */
export function readRoomUrl(text: string): UrlReading {
  if (!URL.canParse(text)) return refused(`${text} is no address such as mqtt://192.0.2.10/physics-1`);
  const url = new URL(text);
  if (url.protocol !== 'mqtt:' && url.protocol !== 'mqtts:')
    return refused(`${text} must begin with mqtt:// or mqtts://`);
  if (url.username !== '' || url.password !== '')
    return refused(
      'User and password do not belong into the address, where everybody on this computer can read them: put them into TENWIRE_ROOM_USER and TENWIRE_ROOM_PASSWORD.',
    );
  const room = url.pathname.slice(1);
  if (!isRoomName(room))
    return refused(
      `${text} must end in the room's name: at most 24 lower-case letters, digits and single dashes, such as mqtt://192.0.2.10/physics-1`,
    );
  const port = url.port === '' ? (url.protocol === 'mqtts:' ? '8883' : '1883') : url.port;
  return { ok: true, url: { broker: `${url.protocol}//${url.hostname}:${port}`, room } };
}

/** From TENWIRE_ROOM_USER, _PASSWORD, _TOKEN and _CA. Throws where the file of an authority can't be read. */
export function roomLogin(environment: NodeJS.ProcessEnv): RoomLogin {
  const given = (name: string) => environment[`TENWIRE_ROOM_${name}`] || null;
  const ca = given('CA');
  return {
    user: given('USER'),
    password: given('PASSWORD'),
    token: given('TOKEN'),
    ca: ca === null ? null : readFileSync(ca),
  };
}
