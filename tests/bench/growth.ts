import { SessionFeed } from '../../bridge/serve/session-feed.ts';
import { collectGarbage } from '../collect-garbage.ts';
import { newFold, recordsOf } from '../independent-recordings/fold-text.ts';
import { begin, fineNull, SWEEPS } from '../independent-recordings/writer/student.ts';
import { handDrivenSession } from '../serve/hand-driven-session.ts';
import { median } from './medians.ts';

/** What one more null costs as a run grows: CPU of the view, characters that a page is sent, and what is held. */

const SETS = 10;
/** Nulls of both cells in turn, each swept there and back. */
const NULLS = 1000;
const SHOWN_AT = [50, 150, 300, 600, 990];

function longRun(): { text: string; nullsAt: Set<number> } {
  const run = begin({ board: { rateHz: 100 } });
  const nullsAt = new Set<number>();
  for (let set = 1; set <= SETS; set += 1) {
    run.useRheostat(4 + set);
    run.message({ kind: 'set', set });
    for (let turn = 0; turn < NULLS / SETS / 2; turn += 1) {
      run.useCell(turn % 2 === 0 ? 1 : 2);
      fineNull(run, { ...SWEEPS, by: 'one-way' });
      run.lift(0.6);
      nullsAt.add(run.lines.length);
      run.sweepNull(-1, SWEEPS.reachCm, SWEEPS.seconds);
      run.lift(0.6);
      nullsAt.add(run.lines.length);
    }
  }
  return { text: run.text, nullsAt };
}

interface Growth {
  nulls: number;
  viewMs: number;
  characters: number;
  /** After a collection; null where none was made. */
  heapMb: number | null;
}

function grow(): Growth[] {
  const { text, nullsAt } = longRun();
  const { records } = recordsOf(text);
  const fold = newFold(records);
  const driven = handDrivenSession('run');
  const feed = new SessionFeed(
    { ...driven.session, view: () => fold.view() },
    { watching: () => false, news: () => {} },
  );
  const growth = records.flatMap((record, index): Growth[] => {
    fold.addRecord(record);
    // The first line of the text is no record.
    if (!nullsAt.has(index + 2)) return [];
    const revision = feed.revision;
    const began = process.cpuUsage();
    const { nulls } = fold.view();
    const { user, system } = process.cpuUsage(began);
    driven.change({});
    const characters = feed.viewSince(revision).length;
    const heapMb = SHOWN_AT.includes(nulls.length) ? heldMb() : null;
    return [{ nulls: nulls.length, viewMs: (user + system) / 1000, characters, heapMb }];
  });
  feed.close();
  return growth;
}

function heldMb(): number {
  collectGarbage();
  return process.memoryUsage().heapUsed / 2 ** 20;
}

export function growthOfRun(): string[] {
  const growth = grow();
  return SHOWN_AT.map((at) => {
    const about = growth.filter(({ nulls }) => Math.abs(nulls - at) <= 8);
    const viewMs = median(about.map((one) => one.viewMs)).toFixed(0);
    const characters = about.map((one) => one.characters);
    const heldMb = growth.find(({ nulls }) => nulls === at)?.heapMb?.toFixed(0);
    return `${at} nulls in ${SETS} sets: one more takes ${viewMs} ms of CPU and ${median(characters)} characters a page, ${Math.max(...characters)} at most; ${heldMb} MB held, the recording's text included`;
  });
}
