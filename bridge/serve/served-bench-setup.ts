import type { Readable } from 'node:stream';
import type { CalibrationPoint } from '../bench/calibrate.ts';
import type { PlanWishes } from '../bench-setup/plan-bench.ts';
import type { Refused } from '../calc-core/message.ts';
import type { Procedure } from '../run/procedure.ts';
import type { BenchSetupAnswers, ExportKind } from './page-protocol.ts';

/** What the server asks of the desk; each answer becomes one JSON object. */

export type BenchSetupAnswer<Name extends keyof BenchSetupAnswers> =
  | ({ ok: true } & BenchSetupAnswers[Name])
  | Refused;

export interface StartOrder {
  port: string;
  baud: number;
  file: string;
  by: string[];
  temperatureC: number | null;
  procedure: Procedure;
}

/** The recording knows the bench and all that was said. */
export type ResumeOrder = Pick<StartOrder, 'port' | 'baud' | 'file'>;

export type ScaleOrder =
  | { zeroCounts: number; counts: number; knownUa: number }
  | { spanV: number; counts: number; gain: number; shuntOhm: number };

export interface ServedBenchSetup {
  ports(): Promise<BenchSetupAnswer<'ports'>>;
  listen(port: string, baud: number): Promise<BenchSetupAnswer<'listen'>>;
  counts(from: string): BenchSetupAnswer<'counts'>;
  hold(from: string): Promise<BenchSetupAnswer<'hold'>>;
  fit(points: CalibrationPoint[]): BenchSetupAnswer<'fit'>;
  scale(order: ScaleOrder): BenchSetupAnswer<'scale'>;
  benches(): BenchSetupAnswer<'benches'>;
  bench(file: string): BenchSetupAnswer<'bench'>;
  saveBench(file: string, bench: unknown, run: string | null): BenchSetupAnswer<'save'>;
  plan(bench: unknown, wishes: PlanWishes): Promise<BenchSetupAnswer<'plan'>>;
  start(order: StartOrder): Promise<BenchSetupAnswer<'start'>>;
  resume(order: ResumeOrder): Promise<BenchSetupAnswer<'start'>>;
  recordings(): BenchSetupAnswer<'recordings'>;
  replay(file: string): Promise<BenchSetupAnswer<'replay'>>;
  drop(name: string, bytes: Readable): Promise<BenchSetupAnswer<'drop'>>;
  whole(file: string): Promise<BenchSetupAnswer<'whole'>>;
  exportRun(session: string, kind: ExportKind): Promise<BenchSetupAnswer<'export'>>;
  end(session: string): Promise<BenchSetupAnswer<'close'>>;
}
