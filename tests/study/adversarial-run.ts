import { placeOnWire } from '../../bridge/bench/geometry.ts';
import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { Run } from '../../bridge/run/run.ts';
import type { NullView } from '../../bridge/run/view.ts';
import { createLiveBench } from '../../bridge/simulate/live-bench.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import type { Switches } from '../../bridge/simulate/steps.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import type { AdversarialScene } from './adversarial-scenes.ts';

/** A run of an adversarial scene, and what its nulls are worth against the truth. */

/** Nulls further off than both of these are false. */
const FALSE_CM = 0.1;
const FALSE_SIGMAS = 10;

export interface JudgedNull {
  nullPoint: NullView;
  /** Null where the bench had no null in this row at that time. */
  errorCm: number | null;
  isFalse: boolean;
}

export function nullsOf({ scene, words }: AdversarialScene, formulas: Formulas): readonly NullView[] {
  const fold = new Run({ formulas });
  for (const record of wordsLate(simulateRun(scene), words)) fold.addRecord(record);
  return fold.view().nulls;
}

export function judged(scene: Scene, nulls: readonly NullView[]): JudgedNull[] {
  const state = statesOf(scene);
  return nulls.map((nullPoint) => {
    const errors = AROUND_S.flatMap((s) => errorOf(scene, nullPoint, state(nullPoint.atS + s)) ?? []);
    const errorCm = errors.reduce(
      (least: number | null, next) => (least === null || Math.abs(next) < Math.abs(least) ? next : least),
      null,
    );
    const allowed = Math.max(FALSE_CM, FALSE_SIGMAS * nullPoint.uReadCm);
    return { nullPoint, errorCm, isFalse: errorCm === null || Math.abs(errorCm) > allowed };
  });
}

/** A touch lasts a while, and keys may stand otherwise at its middle than where its current was taken from. */
const AROUND_S = [-0.5, 0, 0.5];

interface State {
  tS: number;
  row: number;
  switches: Switches;
}

/** How keys and row really stood at a time. */
function statesOf(scene: Scene): (tS: number) => State {
  const states: State[] = [];
  const live = createLiveBench(scene);
  for (let index = 0; ; index += 1) {
    const { tS, row, switches, finished } = live.advance(index / scene.board.rateHz);
    states.push({ tS, row, switches: { ...switches } });
    if (finished) break;
  }
  return (tS) => states[Math.min(states.length - 1, Math.max(0, Math.round(tS * scene.board.rateHz)))];
}

/** Along the scale: a row that nobody named is no fault of the null. */
function errorOf(scene: Scene, nullPoint: NullView, { tS, row, switches }: State): number | null {
  const truth = trueLengthCm(scene, switches, tS);
  if (truth === null) return null;
  const place = placeOnWire(scene.bench.wire, truth);
  return place.row === row ? nullPoint.scaleCm - place.scaleCm : null;
}

const MESSAGES = new Set(['cell', 'row', 'protect', 'load']);

/** What the operator should say during the act comes late, or never. */
function* wordsLate(
  records: Iterable<RecordLine>,
  { from, to, lateS }: AdversarialScene['words'],
): Generator<RecordLine> {
  const owed: RecordLine[] = [];
  for (const record of records) {
    while (owed.length > 0 && owed[0].ms <= record.ms) yield owed.shift() as RecordLine;
    const inAct = record.ms > 1000 * from && record.ms < 1000 * to;
    const late = lateS > 0 && inAct && record.mark === '!' && MESSAGES.has(kindOf(record));
    if (!late) yield record;
    else if (Number.isFinite(lateS)) owed.push({ ...record, ms: record.ms + 1000 * lateS });
  }
}

const kindOf = ({ payload }: RecordLine): string => (JSON.parse(payload) as { kind: string }).kind;
