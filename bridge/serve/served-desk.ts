import type { Readable } from 'node:stream';
import type { CalibrationPoint } from '../bench/calibrate.ts';
import type { Refused } from '../calc-core/saying.ts';
import type { PlanWishes } from '../desk/plan-bench.ts';
import type { Procedure } from '../run/procedure.ts';
import type { DeskAnswers, ExportKind } from './messages.ts';

/** What the server asks of the desk; each answer becomes one JSON object. */

export type DeskAnswer<Name extends keyof DeskAnswers> = ({ ok: true } & DeskAnswers[Name]) | Refused;

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

export interface ServedDesk {
  ports(): Promise<DeskAnswer<'ports'>>;
  listen(port: string, baud: number): Promise<DeskAnswer<'listen'>>;
  counts(from: string): DeskAnswer<'counts'>;
  hold(from: string): Promise<DeskAnswer<'hold'>>;
  fit(points: CalibrationPoint[]): DeskAnswer<'fit'>;
  scale(order: ScaleOrder): DeskAnswer<'scale'>;
  benches(): DeskAnswer<'benches'>;
  bench(file: string): DeskAnswer<'bench'>;
  saveBench(file: string, bench: unknown, run: string | null): DeskAnswer<'save'>;
  plan(bench: unknown, wishes: PlanWishes): Promise<DeskAnswer<'plan'>>;
  start(order: StartOrder): Promise<DeskAnswer<'start'>>;
  resume(order: ResumeOrder): Promise<DeskAnswer<'start'>>;
  recordings(): DeskAnswer<'recordings'>;
  replay(file: string): Promise<DeskAnswer<'replay'>>;
  drop(name: string, bytes: Readable): Promise<DeskAnswer<'drop'>>;
  whole(file: string): Promise<DeskAnswer<'whole'>>;
  exportRun(session: string, kind: ExportKind): Promise<DeskAnswer<'export'>>;
  end(session: string): Promise<DeskAnswer<'close'>>;
}
