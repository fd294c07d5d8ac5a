import { failingDisk } from './failing-disk.ts';
import type { Part } from './figures.ts';
import { fuzzFiles, fuzzSockets } from './fuzz-bridge.ts';
import { fuzzLines } from './fuzz-lines.ts';
import { kills } from './kills.ts';
import { load } from './load.ts';
import { longRun } from './long-run.ts';
import { powerCuts } from './power-cuts.ts';
import { roomOfBenches } from './room-of-benches.ts';
import { storm } from './storm.ts';

/** The campaign, part by part. */
export const PARTS: Record<string, Part> = {
  'power-cuts': powerCuts,
  kills,
  storm,
  'failing-disk': failingDisk,
  'fuzz-lines': fuzzLines,
  'fuzz-sockets': fuzzSockets,
  'fuzz-files': fuzzFiles,
  load,
  'long-run': longRun,
  'room-of-benches': roomOfBenches,
};
