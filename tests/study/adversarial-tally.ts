import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import type { Act } from './adversarial-acts.ts';
import { type JudgedNull, judged, nullsOf } from './adversarial-run.ts';
import { adversarialScene, BOARDS, type BoardKind } from './adversarial-scenes.ts';

export interface AdversarialTally {
  nulls: number;
  /** A word on each, for the person who has to find out why. */
  falseNulls: string[];
  missed: string[];
}

/** Boards in turn: one that senses all, one that senses contact only, one that senses nothing. */
const KINDS = Object.keys(BOARDS) as BoardKind[];

export function tallyOf(act: Act, runs: number, formulas: Formulas): AdversarialTally {
  const tally: AdversarialTally = { nulls: 0, falseNulls: [], missed: [] };
  for (let seed = 1; seed <= runs; seed += 1) {
    const board = KINDS[seed % KINDS.length];
    const adversarial = adversarialScene(act, board, seed);
    const { scene, realS } = adversarial;
    const nulls = judged(scene, nullsOf(adversarial, formulas));
    tally.nulls += nulls.length;
    for (const one of nulls)
      if (one.isFalse) tally.falseNulls.push(`${board}, seed ${seed}, ${verdictOn(one)}`);
    const seen = ({ nullPoint, isFalse }: JudgedNull) =>
      !isFalse && realS !== null && nullPoint.atS > realS.from && nullPoint.atS < realS.to;
    if (realS !== null && !nulls.some(seen))
      tally.missed.push(`${board}, seed ${seed}, real sweep at ${realS.from.toFixed(1)} s`);
  }
  return tally;
}

const verdictOn = ({ nullPoint, errorCm }: JudgedNull): string =>
  `${nullPoint.id} by ${nullPoint.by} at ${nullPoint.atS.toFixed(2)} s: ` +
  (errorCm === null
    ? 'no null there'
    : `off by ${errorCm.toFixed(3)} cm, u ${nullPoint.uReadCm.toFixed(4)} cm`);
