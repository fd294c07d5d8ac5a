import { describe, expect, test } from 'vitest';
import { formatRecord, parseRecord, type RecordLine } from '../../bridge/recording/record.ts';
import { type RunEvent, readEvent } from '../../bridge/run/events.ts';
import {
  COMPARISON,
  DEFAULT_SCENE,
  INTERNAL_RESISTANCE,
  type ScenePatch,
  sceneWith,
} from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import type { BadLine, Frame, SampleFrame } from '../../firmware-protocol/frames.ts';
import { simulateReadings, sweepSteps } from './readings.ts';

const ONE_SET = { ...COMPARISON, rheostatOhm: [4.1] };
const SHORT = { kind: 'script', procedure: 'emf-comparison', steps: [{ do: 'wait', seconds: 25 }] } as const;

const run = (patch: ScenePatch): RecordLine[] => [...simulateRun(sceneWith(patch))];
const frames = (records: RecordLine[]): (Frame | BadLine)[] =>
  records.filter(({ mark }) => mark === '<').map(({ payload }) => decodeLine(payload));
const samples = (records: RecordLine[]): SampleFrame[] =>
  frames(records).filter((frame): frame is SampleFrame => frame.type === 'S');
const events = (records: RecordLine[]): (RunEvent | null)[] =>
  records.filter(({ mark }) => mark === '!').map(({ payload }) => readEvent(payload));
const kinds = (records: RecordLine[]): (string | undefined)[] => events(records).map((event) => event?.kind);

describe('a run', () => {
  const records = run({ task: ONE_SET });

  test('is the same, byte for byte, from the same seed, and another from another', () => {
    const text = (patch: ScenePatch) =>
      run({ task: ONE_SET, ...patch })
        .map(formatRecord)
        .join('\n');
    expect(text({})).toBe(records.map(formatRecord).join('\n'));
    expect(text({ seed: 2 })).not.toBe(text({}));
  });

  test('begins with bench and about, and its events can be read', () => {
    expect(kinds(records)).toEqual(['bench', 'about']);
    expect(events(records)[0]).toEqual({ kind: 'bench', bench: DEFAULT_SCENE.bench });
  });

  test('keeps to the grammar of a recording, its milliseconds never going back', () => {
    let lastMs = 0;
    for (const record of records) {
      expect(parseRecord(formatRecord(record))).toEqual(record);
      expect(record.ms).toBeGreaterThanOrEqual(lastMs);
      lastMs = record.ms;
    }
  });

  test('holds sound lines only, samples without a gap, at the rate stated', () => {
    const bad = frames(records).filter(({ type }) => type === 'bad');
    expect(bad).toEqual([]);
    const all = samples(records);
    expect(all.map(({ seq }) => seq)).toEqual(all.map((_, index) => index));
    const seconds = (all[all.length - 1].tUs - all[0].tUs) / 1e6;
    expect((all.length - 1) / seconds).toBeCloseTo(200, 2);
  });

  test('states H and every C at boot and every 10 s', () => {
    const types = frames(run({ task: SHORT }))
      .map(({ type }) => type)
      .filter((type) => type !== 'S');
    expect(types).toEqual(['H', 'C', 'C', 'C', 'H', 'C', 'C', 'C', 'H', 'C', 'C', 'C']);
  });
});

describe('what the board does not sense', () => {
  test('is 0 or empty in its lines and stands in events', () => {
    const records = run({
      board: {
        senses: { contact: false, cellKey: false, protect: false, row: false, load: false },
        channels: { pos: null, drv: null },
      },
      task: { ...ONE_SET, recordsSets: true, recordsAmmeter: true, recordsLengths: true },
    });
    for (const { flags, row, pos, drv } of samples(records)) {
      expect([flags, row, pos, drv]).toEqual([0, 0, null, null]);
    }
    const counted = (kind: string) => kinds(records).filter((one) => one === kind).length;
    expect([counted('set'), counted('ammeter'), counted('length')]).toEqual([1, 1, 2]);
    // Out and in again for each of two cells, after what stood at the start.
    expect(counted('protect')).toBe(5);
    expect(counted('cell')).toBe(2);
    expect(counted('row')).toBeGreaterThan(5);
  });

  test('a load event has its resistance, and the procedure is recorded', () => {
    const records = run({
      board: { senses: { load: false } },
      task: { ...INTERNAL_RESISTANCE, rheostatOhm: [4.1] },
    });
    expect(events(records).slice(2)).toEqual([
      { kind: 'procedure', procedure: 'internal-resistance' },
      { kind: 'load', in: false, ohm: 10, uOhm: 0.01 },
      { kind: 'load', in: true, ohm: 10, uOhm: 0.01 },
      { kind: 'load', in: false, ohm: 10, uOhm: 0.01 },
    ]);
  });
});

describe('the line', () => {
  test('wraps sequence numbers and clock', () => {
    const all = samples(
      run({ task: SHORT, board: { firstSeq: 65_530, firstTUs: 2 ** 32 - 10_000, jitterUs: 0 } }),
    );
    expect(all.slice(0, 8).map(({ seq }) => seq)).toEqual([65530, 65531, 65532, 65533, 65534, 65535, 0, 1]);
    expect(all.slice(0, 4).map(({ tUs }) => tUs)).toEqual([2 ** 32 - 7500, 2 ** 32 - 2500, 2500, 7500]);
  });

  test('attached in mid-stream, a board sends H only at its next time', () => {
    const types = frames(run({ task: SHORT, board: { helloFirst: false } })).map(({ type }) => type);
    expect(types.indexOf('H')).toBe(2000);
  });

  test('starts anew at a reboot: clock and sequence numbers from 0, H first', () => {
    const all = frames(run({ task: SHORT, board: { line: { rebootsAtS: [12], rebootSilenceS: 1 } } }));
    const starts = all.flatMap((frame, index) => (frame.type === 'S' && frame.seq === 0 ? [index] : []));
    expect(starts).toHaveLength(2);
    expect(all[starts[1] - 4].type).toBe('H');
    expect((all[starts[1]] as SampleFrame).tUs).toBeLessThan(1_100_000);
    expect(all.filter(({ type }) => type === 'S')).toHaveLength(24 * 200 + 1);
  });

  test('loses and damages the shares in the scene, and uses up a sequence number for each', () => {
    const records = run({ task: SHORT, board: { line: { lostShare: 0.05, damagedShare: 0.05 } } });
    const all = frames(records);
    const bad = all.filter(({ type }) => type === 'bad').length;
    expect(bad / 5012).toBeCloseTo(0.05, 1);
    expect((5012 - all.length) / 5012).toBeCloseTo(0.05, 1);
    const seqs = samples(records).map(({ seq }) => seq);
    expect(seqs[seqs.length - 1]).toBeGreaterThan(4990);
  });

  test('reports samples that it could not send, their sequence numbers missing, and the button', () => {
    const all = frames(
      run({ task: SHORT, board: { marksAtS: [3], line: { overruns: [{ atS: 6, samples: 7 }] } } }),
    );
    const told = all.filter((frame) => frame.type === 'E').map(({ name, argument }) => [name, argument]);
    expect(told).toEqual([
      ['mark', null],
      ['overrun', '7'],
    ]);
    const seqs = all.flatMap((frame) => (frame.type === 'S' ? [frame.seq] : []));
    expect(seqs.filter((seq) => seq >= 1199 && seq < 1209)).toEqual([1199, 1207, 1208]);
  });

  test('goes down and up with the cable, and says so', () => {
    const records = run({ task: SHORT, board: { line: { unplugged: [{ fromS: 5, toS: 9 }] } } });
    expect(events(records).slice(2)).toEqual([
      { kind: 'link', up: false },
      { kind: 'link', up: true },
    ]);
    const seqs = samples(records).map(({ seq }) => seq);
    const gap = seqs.findIndex((seq, index) => index > 0 && seq !== seqs[index - 1] + 1);
    expect([seqs[gap - 1], seqs[gap]]).toEqual([999, 1800]);
  });
});

test('readings as columns are the run, count for count', () => {
  const scene = sceneWith({ task: ONE_SET });
  const readings = simulateReadings(scene);
  const lines = samples([...simulateRun(scene)]);
  expect(lines.map(({ gal }) => gal)).toEqual([...readings.gal]);
  expect(lines.map(({ pos }) => pos)).toEqual([...readings.pos]);
  expect(lines.map(({ drv }) => drv)).toEqual([...readings.drv]);
  expect(lines.map(({ flags }) => flags & 1)).toEqual([...readings.contact]);
});

test('a scripted run ends when the script does', () => {
  const steps = sweepSteps({
    row: 7,
    fromCm: 15,
    toCm: 25,
    secondsOfPasses: [2],
    pauseS: 0.3,
    profile: 'steady',
  });
  const all = samples(run({ task: { kind: 'script', procedure: 'emf-comparison', steps } }));
  const inContact = all.filter(({ flags }) => (flags & 1) === 1);
  expect(all.length / 200).toBeCloseTo(0.4 + 4 * 0.3 + 2 + 0.16, 1);
  expect(inContact.length / 200).toBeCloseTo(2 * 0.3 + 2 + 0.08, 1);
});
