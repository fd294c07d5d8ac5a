import { readFileSync } from 'node:fs';
import type { Bench } from '../bench/bench-file.ts';
import { describeFaults, parseBenchFile, readBench } from '../bench/bench-file.ts';
import { message } from '../messages/catalogue.ts';
import { fitsRecording } from '../run/event-size.ts';

export type BenchOption =
  | { ok: true; bench: Bench; raw: Record<string, unknown> }
  | { ok: false; text: string };

/** Reads a bench file. `raw` is what it says, unknown fields and all: that goes into the recording. */
export function readBenchFile(path: string): BenchOption {
  let raw: unknown;
  try {
    raw = parseBenchFile(readFileSync(path));
  } catch (error) {
    const why = error instanceof SyntaxError ? `is not JSON: ${error.message}` : (error as Error).message;
    return { ok: false, text: `the bench file ${path}: ${why}` };
  }
  if (!fitsRecording({ kind: 'bench', bench: raw }))
    return { ok: false, text: `the bench file ${path} can't be used: ${message('bench-too-big').text}` };
  const reading = readBench(raw);
  if (reading.ok) return { ok: true, bench: reading.bench, raw: raw as Record<string, unknown> };
  return { ok: false, text: `the bench file ${path} can't be used:\n${describeFaults(reading.faults).text}` };
}
