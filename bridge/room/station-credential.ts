import { randomBytes } from 'node:crypto';
import { chmodSync, existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import type { LinkLogin } from './broker-link.ts';
import type { RoomLogin, RoomUrl } from './room-url.ts';

/**
 * The secret by which a room's own broker knows a station again. The station makes it, shows it with the room's token once, and by
 * itself from then on, so that the token only pairs.
 */

const FILE = 'room-credentials.json';
/** By room and station: two benches may share a folder. The room's address may be another one next week. */
const kept = v.record(v.string(), v.string());

/** Readable by this user alone. */
function secretFor(home: string, room: string, station: string): string {
  const path = join(home, FILE);
  const known = existsSync(path) ? readKept(path) : {};
  const place = `${room}/${station}`;
  if (known[place] !== undefined) return known[place];
  const secret = randomBytes(24).toString('base64url');
  mkdirSync(home, { recursive: true });
  writeFileSync(`${path}.new`, `${JSON.stringify({ ...known, [place]: secret }, null, 2)}\n`);
  chmodSync(`${path}.new`, 0o600);
  renameSync(`${path}.new`, path);
  return secret;
}

function readKept(path: string): v.InferOutput<typeof kept> {
  try {
    return v.parse(kept, JSON.parse(readFileSync(path, 'utf8')));
  } catch {
    // A file that was damaged opens nothing: the station pairs anew.
    return {};
  }
}

/** What a station shows to the broker, in turn. */
export function stationLogins(
  home: string,
  { room }: Pick<RoomUrl, 'room'>,
  station: string,
  { user, password, token }: RoomLogin,
): LinkLogin[] {
  if (user !== null) return [{ user, password: password ?? '' }];
  const secret = secretFor(home, room, station);
  const again = { user: station, password: secret };
  return token === null ? [again] : [again, { user: station, password: pairingPassword(token, secret) }];
}

const pairingPassword = (token: string, secret: string): string => `${token} ${secret}`;

/** What a station showed: its own secret, and the room's token where it asks to be paired. */
export function readPassword(password: string): { token: string | null; secret: string } {
  const blank = password.indexOf(' ');
  return blank < 0
    ? { token: null, secret: password }
    : { token: password.slice(0, blank), secret: password.slice(blank + 1) };
}
