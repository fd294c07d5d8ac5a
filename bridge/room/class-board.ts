import type { Message } from '../calc-core/message.ts';
import type { ClassGroup } from '../report/class-groups.ts';
import type { Summary } from './messages.ts';
import type { RunPlace } from './topics.ts';

/** All benches of a class on one screen: plain data for the page. */

/** Why a bench needs somebody, the most pressing first. */
export const NEEDS = ['calls', 'stop', 'vanished', 'quiet', 'warn'] as const;
export type Needs = (typeof NEEDS)[number];

export interface BoardRow extends RunPlace {
  /** Of its live page; null before anything of its recording is here. */
  session: string | null;
  bench: string;
  /** Who is at the bench, as far as the recording says. */
  by: string[];
  needs: Needs | null;
  /** How the station said that the run stands. */
  summary: Pick<
    Summary,
    | 'procedure'
    | 'step'
    | 'set'
    | 'cell'
    | 'endsTried'
    | 'nulls'
    | 'setsDone'
    | 'lastNull'
    | 'finding'
    | 'quietS'
    | 'atS'
    | 'ended'
  >;
  /** Null while results are hidden. */
  result: Summary['result'];
  /** Whether there is one. */
  hasResult: boolean;
  stationUp: boolean;
  /** Bytes of the recording that are not here yet. */
  behindBytes: number;
  /** Above 1 where bytes of this run differ from those that came first: all copies are kept. */
  copies: number;
  /** Why the copy can't be written. */
  trouble: string | null;
  /** The room's last line of text to this bench. */
  said: string | null;
}

/** What the class found of one measurand; absent while hidden. */
export interface BoardGroup
  extends Pick<ClassGroup, 'measurand' | 'quantity' | 'unit' | 'centre' | 'standardDeviation'> {
  results: { bench: string; station: string; value: number; U: number }[];
  /** Results that lie off, in the words of the class report, each with what its own run says of the cause. */
  remarks: Message[];
}

export interface ClassBoard {
  room: string;
  rows: BoardRow[];
  /** Results and the class's value are shown. */
  shown: boolean;
  /** How many runs have a result, told also while they are hidden. */
  results: number;
  groups: BoardGroup[];
  /** Why the room hears nothing; null while the broker answers. */
  trouble: string | null;
  saidToAll: string | null;
  refused: number;
  ended: boolean;
}

/** A bench at which nothing new was found for so long needs a look. */
export const QUIET_S = 240;

/** What a run calls for. */
export function needsOf(summary: Summary, stationUp: boolean): Needs | null {
  if (summary.calls) return 'calls';
  const isDone = summary.step === 'finish' || (summary.ended && summary.result !== null);
  if (summary.finding?.severity === 'stop' && !isDone) return 'stop';
  if (!summary.ended && (!stationUp || summary.linkUp === false)) return 'vanished';
  if (!isDone && !summary.ended && summary.quietS > QUIET_S) return 'quiet';
  return summary.finding?.severity === 'warn' ? 'warn' : null;
}

const pressing = (needs: Needs | null): number => (needs === null ? NEEDS.length : NEEDS.indexOf(needs));

/** Those that need help first, then by the names of the benches. */
export const inOrderOfNeed = (rows: readonly BoardRow[]): BoardRow[] =>
  [...rows].sort(
    (one, other) =>
      pressing(one.needs) - pressing(other.needs) ||
      one.bench.localeCompare(other.bench, 'en', { numeric: true }) ||
      one.station.localeCompare(other.station),
  );
