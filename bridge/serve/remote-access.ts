import { randomBytes } from 'node:crypto';
import { hostname, networkInterfaces } from 'node:os';
import { encode } from 'uqr';
import { bracketed } from './access.ts';
import type { WatchLink } from './page-protocol.ts';

/** Letting other machines in: off unless somebody asks for it, and then only with a token in the link. */
export interface RemoteAccess {
  /** What to listen on, such as `0.0.0.0` or one address of this machine. */
  address: string;
  /** The names and addresses by which others may ask for this server. */
  names: string[];
  tokens: { watch: string; steer: string };
}

const ANY = ['0.0.0.0', '::'];

/** New tokens for every start: a link of yesterday opens nothing today. */
export function allowRemoteAccess(address: string): RemoteAccess {
  const names = ANY.includes(address) ? [...ownAddresses(), hostname()] : [address];
  return { address, names, tokens: { watch: newToken(), steer: newToken() } };
}

/** 144 bits, as they stand in a link. */
export const newToken = (): string => randomBytes(18).toString('base64url');

const ownAddresses = (): string[] =>
  Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .filter(({ internal, address }) => !internal && !address.startsWith('fe80:'))
    .map(({ address }) => address);

/** The links to hand out, by the first name: for the projector (of a bench, of a class), and for whoever may steer. */
export function linksFor(
  others: RemoteAccess,
  port: number,
): { watch: string; watchBoard: string; steer: string } {
  const origin = originOf(others, port);
  return {
    watch: `${origin}/show#token=${others.tokens.watch}`,
    watchBoard: `${origin}/#token=${others.tokens.watch}`,
    steer: `${origin}/#token=${others.tokens.steer}`,
  };
}

const originOf = (others: RemoteAccess | null, port: number): string =>
  `http://${others === null ? '127.0.0.1' : bracketed(others.names[0])}:${port}`;

const QUIET_ZONE = 4;

export function watchLinkOf(others: RemoteAccess, port: number): WatchLink {
  const url = linksFor(others, port).watch;
  const { size, data } = encode(url, { border: QUIET_ZONE, ecc: 'M' });
  const dark = data.flatMap((row, y) => row.map((isDark, x) => (isDark ? `M${x} ${y}h1v1h-1z` : '')));
  return { url, size, dark: dark.join('') };
}

/**
 * The link for this machine itself. What listens on one address is not reached by 127.0.0.1, and whoever comes by that
 * address shows a token like everybody else.
 */
export const ownLink = (others: RemoteAccess | null, port: number): string =>
  others === null || ANY.includes(others.address)
    ? `http://127.0.0.1:${port}/`
    : linksFor(others, port).steer;

/** The link that sees hidden results and may hide them. */
export const teacherLink = (others: RemoteAccess | null, port: number, token: string): string =>
  `${originOf(others, port)}/#token=${token}`;

/** What must be known before a link is handed out. */
export const RISK_OF_OTHERS =
  'Whoever has a link sees the run; whoever has the second one can steer it. The links travel over the network unencrypted: use them on a network that you trust, and stop the bridge to end them.';
