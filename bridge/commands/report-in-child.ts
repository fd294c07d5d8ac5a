import { execFile } from 'node:child_process';
import type { MakeReport } from '../bench-setup/export-run.ts';

/** Far beyond the record of the longest run. */
const MOST_BYTES = 100_000_000;
const LONGEST_MIN = 5;

/** Reports made by a program in a process of its own, which is ended after `longestMin` minutes. */
export const reportBy =
  (program: string, longestMin: number): MakeReport =>
  (path, kind, ending) => {
    const how = kind === 'json' ? ['--json'] : ['--out', '-'];
    const options = {
      maxBuffer: MOST_BYTES,
      windowsHide: true,
      timeout: longestMin * 60_000,
      killSignal: 'SIGKILL',
      signal: ending,
    } as const;
    return new Promise((resolve) => {
      execFile(process.execPath, [program, 'report', path, ...how], options, (error, out, said) => {
        if (error === null) resolve({ ok: true, text: out });
        else if (error.signal === 'SIGKILL')
          resolve({ ok: false, text: `The record was not done in ${longestMin} minutes and was given up.` });
        else resolve({ ok: false, text: said.trim() || error.message });
      });
    });
  };

/** Reports that the page asks for are made by this same program. */
export const reportInChild: MakeReport = reportBy(process.argv[1], LONGEST_MIN);
