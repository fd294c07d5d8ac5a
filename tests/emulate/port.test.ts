import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { checkBoardCommand } from '../../bridge/commands/check-board.ts';
import type { BoardAtPort } from '../../bridge/emulate/board-at-port.ts';
import { openBoardAtPort } from '../../bridge/emulate/board-at-port.ts';
import { createFrontEnd, QUIET_FRONT_END } from '../../bridge/emulate/front-end.ts';
import type { BenchState } from '../../bridge/emulate/wiring.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { AT_REST } from './stand.ts';

/** The emulated board behind a real pseudo-terminal, met through serialport like any board. */

let folder: string;
let at: BoardAtPort | null = null;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-port-'));
});
afterEach(async () => {
  await at?.close();
  at = null;
  rmSync(folder, { recursive: true });
});

/** A bench on which everything that can be sensed changes now and then. */
const busy = (tS: number): BenchState => ({
  galvanometerUa: 40 * Math.sin(tS),
  driverMa: 100 + 5 * Math.sin(tS / 3),
  scaleCm: 50 + 10 * Math.sin(tS / 2),
  row: 1 + (Math.floor(tS / 2) % 10),
  contact: Math.floor(tS) % 2 === 0,
  jumps: [],
  switches: {
    cell: Math.floor(tS / 3) % 2 === 0 ? 1 : 2,
    protect: Math.floor(tS / 4) % 2 === 0,
    load: Math.floor(tS / 5) % 2 === 0,
  },
});

async function open(bench: (tS: number) => BenchState): Promise<BoardAtPort> {
  const opening = await openBoardAtPort({
    bench: { advance: bench },
    frontEnd: createFrontEnd(INVENTED_BENCH, QUIET_FRONT_END),
    path: join(folder, 'board'),
    speed: 1,
  });
  if (!opening.ok) throw new Error(opening.text);
  at = opening.at;
  return at;
}

function quietTerminal() {
  const lines: string[] = [];
  const notes: string[] = [];
  return {
    lines,
    notes,
    out: (line: string) => lines.push(line),
    note: (line: string) => notes.push(line),
    progress: () => {},
    interactive: false,
  };
}

test('check-board on the reference firmware: it keeps the format in every point, with no warning', async () => {
  const { path } = await open(busy);
  const terminal = quietTerminal();
  const code = await checkBoardCommand({ port: path, baud: 115_200, seconds: 14, json: true }, terminal);
  const report = JSON.parse(terminal.lines.join('\n'));
  const codes: string[] = report.findings.map((finding: { code: string }) => finding.code);
  // On a computer that is too busy the emulated board's time slips: its clock is rightly called slow, and so may
  // its answers be. All else that may be said is that the board has no name yet.
  const slipped = codes.includes('clock');
  expect(codes.filter((code) => code !== 'clock' && code !== 'slow-answer')).toEqual(['unnamed']);
  expect(report).toMatchObject({
    keepsFormat: !slipped,
    badLines: 0,
    stream: { lost: 0, boots: 0, stuck: 0 },
  });
  expect(report.stream.rateHz).toBeCloseTo(200, 6);
  expect(report.answers).toHaveLength(10);
  expect(code).toBe(slipped ? 1 : 0);
});

test('check-board when the cable is pulled, and when there is no such port', async () => {
  const opened = await open(() => AT_REST);
  const terminal = quietTerminal();
  setTimeout(() => void opened.unplug(), 3500);
  expect(
    await checkBoardCommand({ port: opened.path, baud: 115_200, seconds: 30, json: false }, terminal),
  ).toBe(1);
  expect(terminal.notes.join()).toContain('cut short');
  const none = quietTerminal();
  const port = join(folder, 'nothing-here');
  expect(await checkBoardCommand({ port, baud: 115_200, seconds: 5, json: false }, none)).toBe(1);
  expect(none.notes.join()).toContain('there is no port');
});
