import { listenToBoard } from '../check-board/listen.ts';
import { checkBoard } from '../check-board/report.ts';
import { reportLines } from '../check-board/report-text.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface CheckBoardOptions {
  /** Serial port, such as /dev/ttyACM0 or COM3. */
  port: string;
  baud: number;
  /** How long to listen; below 25 s not every question gets its second, nor H its ten. */
  seconds: number;
  json: boolean;
}

/** Listens to a board and says whether it keeps to wire format 1. 1 where it does not, or can't be heard. */
export async function checkBoardCommand(options: CheckBoardOptions, terminal: Terminal): Promise<ExitCode> {
  const listening = await listenToBoard({
    path: options.port,
    baudRate: options.baud,
    seconds: options.seconds,
    progress: (secondsLeft) =>
      terminal.progress(`listening, ${secondsLeft} s to go; work the bench's keys meanwhile`),
  });
  terminal.progress('');
  if (!listening.ok) {
    terminal.note(listening.fault.text);
    return 1;
  }
  const report = checkBoard(listening.log);
  if (options.json) terminal.out(JSON.stringify(report, null, 2));
  else for (const line of reportLines(report)) terminal.out(line);
  if (listening.cutShort !== null) terminal.note(`the check was cut short: ${listening.cutShort}`);
  return report.keepsFormat && listening.cutShort === null ? 0 : 1;
}
