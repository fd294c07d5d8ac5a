import { createHash, timingSafeEqual } from 'node:crypto';
import { chmodSync, existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import * as v from 'valibot';

const kept = v.record(v.string(), v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/)));
const MOST_STATIONS = 200;
/** Random ones of a station are longer. */
const LEAST_CHARACTERS = 24;

const digestOf = (secret: string): string => createHash('sha256').update(secret).digest('hex');

/**
 * The stations that were paired with a room, each with the digest of its secret. Secrets are random and long, so that a plain digest
 * tells nothing of them. Kept in a file, so that a class need not pair again next week.
 */
export class StationSecrets {
  readonly #path: string;
  readonly #digests: Map<string, string>;

  /** Throws where a file is there that is none of ours: pairing everybody anew in silence would let others in. */
  constructor(path: string) {
    this.#path = path;
    const known = existsSync(path) ? v.parse(kept, JSON.parse(readFileSync(path, 'utf8'))) : {};
    this.#digests = new Map(Object.entries(known));
  }

  knows(station: string, secret: string): boolean {
    const digest = this.#digests.get(station);
    return digest !== undefined && timingSafeEqual(Buffer.from(digest), Buffer.from(digestOf(secret)));
  }

  /** Takes in a station with the secret that it will show from now on. False where the name belongs to another one. */
  pair(station: string, secret: string): boolean {
    if (this.knows(station, secret)) return true;
    if (this.#digests.has(station) || this.#digests.size >= MOST_STATIONS || secret.length < LEAST_CHARACTERS)
      return false;
    this.#digests.set(station, digestOf(secret));
    this.#save();
    return true;
  }

  /** Lets another computer have the name. */
  forget(station: string): void {
    if (this.#digests.delete(station)) this.#save();
  }

  #save(): void {
    writeFileSync(`${this.#path}.new`, `${JSON.stringify(Object.fromEntries(this.#digests), null, 2)}\n`);
    chmodSync(`${this.#path}.new`, 0o600);
    renameSync(`${this.#path}.new`, this.#path);
  }
}
