import { execFile } from 'node:child_process';
import type { MakeReport } from '../desk/export-run.ts';

/** Far beyond the record of the longest run. */
const MOST_BYTES = 100_000_000;

/** Reports that the page asks for are made by this same program in a process of its own. */
export const reportInChild: MakeReport = (path, kind) => {
  const how = kind === 'json' ? ['--json'] : ['--out', '-'];
  const options = { maxBuffer: MOST_BYTES, windowsHide: true };
  return new Promise((resolve) => {
    execFile(process.execPath, [process.argv[1], 'report', path, ...how], options, (error, out, said) => {
      resolve(error === null ? { ok: true, text: out } : { ok: false, text: said.trim() || error.message });
    });
  });
};
