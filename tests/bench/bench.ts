import { foldSpeed, liveShare } from './fold-speed.ts';
import { growthOfRun } from './growth.ts';
import { lineCost } from './line-cost.ts';
import { longReplay } from './long-replay.ts';
import { pageLatency } from './page-latency.ts';
import { pageHeap, pageLoad } from './page-load.ts';
import { roomLoad } from './room-load.ts';
import { startUp } from './start-up.ts';

/** `npm run bench`, or one part of it: `npm run bench -- fold`. */
const parts: Record<string, () => string[] | Promise<string[]>> = {
  fold: foldSpeed,
  live: liveShare,
  replay: longReplay,
  line: lineCost,
  growth: growthOfRun,
  start: startUp,
  room: roomLoad,
  page: pageLoad,
  heap: pageHeap,
  latency: pageLatency,
};

const asked = process.argv.slice(2);
for (const [name, measure] of Object.entries(parts)) {
  if (asked.length > 0 && !asked.includes(name)) continue;
  for (const line of await measure()) console.log(`${name}: ${line}`);
}
