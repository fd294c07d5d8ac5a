import { describePort, listPorts } from '../serial/list-ports.ts';
import type { ExitCode, Terminal } from './terminal.ts';

/** Lists the serial ports of this computer. */
export async function ports(terminal: Terminal): Promise<ExitCode> {
  const found = await listPorts();
  if (found.length === 0)
    terminal.note('no serial port is to be seen on this computer: is the board plugged in?');
  for (const port of found) terminal.out(describePort(port));
  return 0;
}
