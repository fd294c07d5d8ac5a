import { readFileSync } from 'node:fs';
import { beforeAll, expect, test } from 'vitest';
import { PART_GROUPS, type PartGroup } from '../../bridge/emulate/parts.ts';
import { judge } from '../../bridge/self-test/judge.ts';
import { diodesOfRow, switchSteps } from '../../bridge/self-test/switches.ts';
import type { PartFault } from '../../docs/hardware/netlist.ts';
import { readingsWith } from './dummy-in-ngspice.ts';
import { rowRead } from './row-lines.ts';

/** Each part of docs/hardware.md open, shorted, or ten times its value, one at a time; the bench's own parts are none of the front end. */

type Verdict = 'found' | 'missed' | 'found, another part named';

const kindsOf = (group: PartGroup): PartFault['kind'][] =>
  group.value === null ? ['open', 'short'] : ['open', 'short', 'ten times'];

const isDummy = (part: string): boolean => ['R34', 'R35', 'R36'].includes(part);

const FAULTS = PART_GROUPS.flatMap((group) =>
  Object.entries(group.pieces).flatMap(([part, nets]) =>
    isDummy(part) ? [] : kindsOf(group).map((kind) => ({ group, part, nets, kind })),
  ),
);

const ROWS = 10;
const ROW_NUMBERS = Array.from({ length: ROWS }, (_, index) => index + 1);

function verdictOf({ group, part, nets, kind }: (typeof FAULTS)[number]): Verdict {
  if (nets.length > 0) {
    const failed = judge(readingsWith({ part, kind })).filter(({ passed }) => !passed);
    if (failed.length === 0) return 'missed';
    return failed.some(({ parts }) => parts.includes(part)) ? 'found' : 'found, another part named';
  }
  if (group.kind === 'diode') return rowVerdict(part, kind);
  // A switch must be seen open and closed; a terminal or the isolator that is open, and a shorted supply, leave nothing to be seen.
  if (group.kind === 'switch') return 'found';
  if (group.kind === 'capacitor') return kind === 'short' ? 'found' : 'missed';
  return group.kind === 'fuse' || kind === 'short' ? 'missed' : 'found';
}

/** The row that the board then reads, asked for each row in turn. */
function rowVerdict(part: string, kind: PartFault['kind']): Verdict {
  const wrong = ROW_NUMBERS.filter((row) => rowRead(row, ROWS, { part, kind }) !== row);
  if (wrong.length === 0) return 'missed';
  const steps = switchSteps(0xff, ROWS).filter(({ id }) => wrong.some((row) => id === `row-${row}`));
  // A shorted diode shows at rows that share its line, and they are named with their own diodes.
  const neighbours = ROW_NUMBERS.filter((row) => wrong.some((other) => (row & other) !== 0)).flatMap(
    diodesOfRow,
  );
  return steps.some(({ parts }) => parts.includes(part)) || neighbours.includes(part)
    ? 'found'
    : 'found, another part named';
}

const verdicts = new Map<string, Verdict>();
beforeAll(() => {
  for (const fault of FAULTS) verdicts.set(`${fault.part} ${fault.kind}`, verdictOf(fault));
}, 240_000);

test('a sound front end passes', () => {
  expect(judge(readingsWith()).filter(({ passed }) => !passed)).toEqual([]);
});

test('at least four in five faults are found, and each that is found has its part named', () => {
  const all = [...verdicts];
  const found = all.filter(([, verdict]) => verdict === 'found').length;
  expect(all.filter(([, verdict]) => verdict === 'found, another part named')).toEqual([]);
  expect(found / all.length).toBeGreaterThanOrEqual(0.8);
});

test('the faults that are missed are those that the guide lists', () => {
  const guide = readFileSync(new URL('../../docs/hardware.md', import.meta.url), 'utf8');
  const section = guide.slice(guide.indexOf('### What the self-test misses'));
  const listed = [...section.matchAll(/^\| ([A-Z][^|]*) \| ((?:open|short|ten times)[^|]*) \|/gm)].flatMap(
    ([, parts, kinds]) =>
      parts.split(', ').flatMap((part) => kinds.split(', ').map((kind) => `${part} ${kind}`)),
  );
  const missed = [...verdicts].flatMap(([name, verdict]) => (verdict === 'missed' ? [name] : []));
  expect(listed.sort()).toEqual(missed.sort());
});
