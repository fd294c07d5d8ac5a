import { createHash, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';
import { isIPv6 } from 'node:net';
import type { Role } from './page-protocol.ts';

/** Who may do what: decided from the connection alone, before a byte of it is answered. */
export interface AccessRules {
  /** `name:port` as a browser sends it (or `name` alone, at the usual port); nothing else is answered. */
  hosts: ReadonlySet<string>;
  /** Needed by whoever is not on this machine; null where nobody else may come at all. */
  tokens: { watch: string; steer: string } | null;
  /** Makes a page that steers a teacher's, from whatever machine; null where there is none. */
  teacherToken: string | null;
  /** Whoever steers is the teacher, as in a room of benches. */
  steererTeaches: boolean;
}

/** A name or an address as it stands in a Host header. */
export const bracketed = (name: string): string => (isIPv6(name) ? `[${name}]` : name);

/** What browsers leave out of addresses. */
const USUAL_PORT = 80;

/** The Host headers that reach this server by one of `names`. */
export const hostsFor = (names: readonly string[], port: number): ReadonlySet<string> => {
  const hosts = names.map(bracketed);
  const named = hosts.map((host) => `${host}:${port}`);
  return new Set(port === USUAL_PORT ? [...hosts, ...named] : named);
};

export const isLoopback = (address: string | undefined): boolean =>
  address !== undefined && /^(::ffff:)?127\.\d+\.\d+\.\d+$|^::1$/.test(address);

export const hostAllowed = (rules: AccessRules, request: IncomingMessage): boolean =>
  rules.hosts.has(request.headers.host ?? '');

/** A page of ours has an Origin that is this very server; another site's, a missing or a null one is refused. */
export const originAllowed = (rules: AccessRules, request: IncomingMessage): boolean =>
  hostAllowed(rules, request) && request.headers.origin === `http://${request.headers.host}`;

/** The role that a connection gets, or null for none. `token` is what it showed, `asked` what it wants to be. */
export function roleOf(
  rules: AccessRules,
  request: IncomingMessage,
  token: string,
  asked: 'steer' | 'watch',
): Role | null {
  const { tokens, teacherToken, steererTeaches } = rules;
  const teaches = teacherToken !== null && isSameSecret(token, teacherToken);
  const maySteer =
    teaches ||
    isLoopback(request.socket.remoteAddress) ||
    (tokens !== null && isSameSecret(token, tokens.steer));
  if (maySteer) return asked === 'steer' && (teaches || steererTeaches) ? 'teach' : asked;
  return tokens !== null && isSameSecret(token, tokens.watch) ? 'watch' : null;
}

const digest = (text: string): Buffer => createHash('sha256').update(text).digest();

/** Compared as digests, so that neither time nor length tells anything of the secret. */
export const isSameSecret = (shown: string, kept: string): boolean =>
  timingSafeEqual(digest(shown), digest(kept));
