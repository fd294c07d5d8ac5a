import { deflateRawSync } from 'node:zlib';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { SessionFeed } from '../../bridge/serve/session-feed.ts';
import { collectGarbage } from '../collect-garbage.ts';
import { newFold, recordsIn } from '../independent-recordings/fold-text.ts';
import { begin, fineNull, SWEEPS } from '../independent-recordings/writer/student.ts';
import { handDrivenSession } from '../serve/hand-driven-session.ts';
import { median } from './medians.ts';

/** What one more null costs as a run grows: CPU of the view, bytes that a page is sent, and what is held. */

const SETS = 10;
/** Nulls of both cells in turn, each swept there and back. */
const NULLS = 1000;
const SHOWN_AT = [50, 150, 300, 600, 990];

/** As bytes, and read as they are taken in: a bridge does not hold its records. */
function longRun(): { bytes: Buffer; nullsAt: Set<number> } {
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
  return { bytes: Buffer.from(run.text), nullsAt };
}

interface Growth {
  nulls: number;
  viewMs: number;
  /** Of the JSON, and of what crosses to a browser. */
  characters: number;
  bytes: number;
  /** After a collection; null where none was made. */
  heapMb: number | null;
}

function grow(): Growth[] {
  const { bytes, nullsAt } = longRun();
  const fold = newFold([...recordsIn(bytes)].filter(isEvent));
  const driven = handDrivenSession('run');
  const feed = new SessionFeed(
    { ...driven.session, view: () => fold.view() },
    { watching: () => false, news: () => {} },
  );
  const growth: Growth[] = [];
  // The first line of a recording is no record.
  let lines = 1;
  for (const record of recordsIn(bytes)) {
    fold.addRecord(record);
    lines += 1;
    if (!nullsAt.has(lines)) continue;
    const { revision } = feed.log(false);
    const began = process.cpuUsage();
    const { nulls } = fold.view();
    const { user, system } = process.cpuUsage(began);
    driven.change({});
    const change = feed.log(false).since(revision);
    const [characters, sent] = [change.length, deflateRawSync(change).length];
    const heapMb = SHOWN_AT.includes(nulls.length) ? heldMb() : null;
    growth.push({ nulls: nulls.length, viewMs: (user + system) / 1000, characters, bytes: sent, heapMb });
  }
  feed.close();
  return growth;
}

const isEvent = (record: RecordLine | 'unreadable'): boolean =>
  record !== 'unreadable' && record.mark === '!';

function heldMb(): number {
  collectGarbage();
  return process.memoryUsage().heapUsed / 2 ** 20;
}

export function growthOfRun(): string[] {
  const growth = grow();
  return SHOWN_AT.map((at) => {
    const about = growth.filter(({ nulls }) => Math.abs(nulls - at) <= 8);
    const viewMs = median(about.map((one) => one.viewMs)).toFixed(0);
    const characters = median(about.map((one) => one.characters));
    const bytes = about.map((one) => one.bytes);
    const heldMb = growth.find(({ nulls }) => nulls === at)?.heapMb?.toFixed(0);
    return `${at} nulls in ${SETS} sets: one more takes ${viewMs} ms of CPU and ${median(bytes)} bytes a page, ${Math.max(...bytes)} at most (${characters} characters before deflating); ${heldMb} MB of heap held`;
  });
}
