import { UNNAMED_BOARD } from '../serial/board-introduction.ts';
import type { BoardLog, CheckFinding } from './log.ts';
import { fault, note, warn } from './log.ts';

const HELLO_EVERY_MS = 10_000;
const LATE_MS = 1_500;
const KNOWN = ['gal', 'pos', 'drv'];

/** `H` and `C`: who the board says it is, and whether it says so often enough. */
export function checkIdentity(log: BoardLog): CheckFinding[] {
  const hellos = log.heard.flatMap(({ atMs, frame }) => (frame.type === 'H' ? [{ atMs, frame }] : []));
  if (hellos.length === 0) return [fault('no-hello', 'no H line: it must come at boot, on ? and every 10 s')];
  const findings: CheckFinding[] = [...checkEvery(log, hellos), ...checkChannels(log)];
  const names = new Set(hellos.map(({ frame }) => frame.board));
  if (names.size > 1) findings.push(fault('name-changes', `the name changes: ${[...names].join(', ')}`));
  if (hellos[0].frame.board === UNNAMED_BOARD)
    findings.push(note('unnamed', 'the board has no name of its own yet; two boards must not share one'));
  if (hellos[0].frame.firmware.trim() === '') findings.push(note('firmware', 'the firmware has no name'));
  return findings;
}

function checkEvery(log: BoardLog, hellos: { atMs: number }[]): CheckFinding[] {
  const times = [log.heard[0].atMs, ...hellos.map(({ atMs }) => atMs), log.endMs];
  const gapMs = Math.max(...times.slice(1).map((atMs, index) => atMs - times[index]));
  if (gapMs <= HELLO_EVERY_MS + LATE_MS) return [];
  return [fault('hello-rare', `${(gapMs / 1000).toFixed(1)} s without an H line; it must come every 10 s`)];
}

/** Channels of the last announcement, by name. */
export function channelsOf(
  log: BoardLog,
): Map<string, { index: number; minCount: number; maxCount: number }> {
  const channels = new Map<string, { index: number; minCount: number; maxCount: number }>();
  for (const { frame } of log.heard) if (frame.type === 'C') channels.set(frame.channel, frame);
  return channels;
}

function checkChannels(log: BoardLog): CheckFinding[] {
  const channels = channelsOf(log);
  const findings: CheckFinding[] = [];
  if (!channels.has('gal'))
    findings.push(fault('no-gal', 'no C line for gal: every board has a galvanometer channel'));
  for (const name of ['pos', 'drv']) {
    if (!channels.has(name)) findings.push(note(`no-${name}`, `no C line for ${name}: ${WITHOUT[name]}`));
  }
  const strange = [...channels.keys()].filter((name) => !KNOWN.includes(name));
  if (strange.length > 0)
    findings.push(note('other-channels', `channels that are skipped: ${strange.join(', ')}`));
  const indices = [...channels.values()].map(({ index }) => index).sort((a, b) => a - b);
  if (indices.some((index, at) => index !== at))
    findings.push(
      warn('channel-index', `channels are numbered ${indices.join(', ')}; they should count from 0`),
    );
  return findings;
}

const WITHOUT: Record<string, string> = {
  pos: 'balancing lengths are typed in',
  drv: 'the ammeter is read by eye',
};
