import { readFileSync } from 'node:fs';
import { recordsFrom } from '../recording/read.ts';
import { readRun } from '../report/read-run.ts';
import { claimOf, heldAgainst, NO_REPORT } from '../report/verify.ts';
import { runMaker } from '../session/make-run.ts';
import type { ExitCode, Terminal } from './terminal.ts';

/** Whether a report, as JSON or as a page, was made from a recording and says what the recording says. */
export async function verifyReport(report: string, recording: string, terminal: Terminal): Promise<ExitCode> {
  let text: string;
  try {
    text = readFileSync(report, 'utf8');
  } catch (error) {
    terminal.note(`${report} could not be read: ${(error as Error).message}`);
    return 2;
  }
  const claim = claimOf(text);
  if (claim === null) {
    terminal.note(`${report}: ${NO_REPORT}`);
    return 2;
  }
  const { bytes } = claim.recording;
  const reading = await readRun(recording, await runMaker(), { upToBytes: bytes });
  if (!reading.ok) {
    terminal.note(reading.text);
    return 2;
  }
  const { agrees, lines } = heldAgainst(claim, reading.run, recordsFrom(recording, bytes));
  for (const line of lines) terminal.out(line);
  terminal.out(agrees ? 'the report holds' : 'the report does not hold');
  return agrees ? 0 : 1;
}
