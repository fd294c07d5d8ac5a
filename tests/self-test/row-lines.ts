import { diodesOfRow } from '../../bridge/self-test/switches.ts';
import type { PartFault } from '../../docs/hardware/netlist.ts';

/** The row that the board reads from its five lines: each is held up, and pulled down by whatever leads to a closed switch. */

interface Lead {
  from: string;
  to: string;
}

/** A diode leads from its line to its row's switch, a shorted one both ways, an open one not at all. */
function leadsOf(rows: number, fault: PartFault | undefined): Lead[] {
  return Array.from({ length: rows }, (_, index) => index + 1).flatMap((row) => {
    const lines = [0, 1, 2, 3, 4].filter((bit) => (row & (1 << bit)) !== 0);
    return diodesOfRow(row).flatMap((part, index) => {
      const [from, to] = [`line ${lines[index]}`, `switch ${row}`];
      if (fault?.part !== part) return [{ from, to }];
      return fault.kind === 'open'
        ? []
        : [
            { from, to },
            { from: to, to: from },
          ];
    });
  });
}

export function rowRead(closed: number, rows: number, fault?: PartFault): number {
  const leads = leadsOf(rows, fault);
  const low = new Set([`switch ${closed}`]);
  for (let before = -1; before !== low.size; ) {
    before = low.size;
    for (const { from, to } of leads) if (low.has(to)) low.add(from);
  }
  return [0, 1, 2, 3, 4].reduce((row, bit) => row + (low.has(`line ${bit}`) ? 1 << bit : 0), 0);
}
