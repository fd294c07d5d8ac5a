import { describe, expect, it } from 'vitest';
import type { RunEvent } from '../../bridge/run/events.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { newFold, recordsOf } from '../independent-recordings/fold-text.ts';
import { begin, compare, SWEEPS } from '../independent-recordings/writer/student.ts';
import { benchWith, eye } from './findings/event-runs.ts';

/** A view shares with the one before it all that has not changed, and a state that was handed out stays as it was. */

const makeRun = await runMaker();

function spokenRun() {
  const run = makeRun([]);
  let ms = 0;
  const say = (...events: object[]) => {
    for (const event of events) {
      ms += 1000;
      run.addRecord({ ms, mark: '!', payload: JSON.stringify(event as RunEvent) });
    }
  };
  say(benchWith(), eye(1, 1, 700), eye(2, 1, 600), eye(1, 2, 650), eye(2, 2, 557));
  return { run, say };
}

describe('a view', () => {
  it('keeps nulls, events and result as the same objects where a note is all that is new', () => {
    const { run, say } = spokenRun();
    const before = run.view();
    say({ kind: 'note', text: 'nothing' });
    const after = run.view();
    expect(after.events).toHaveLength(before.events.length + 1);
    expect(after.events[2]).toBe(before.events[2]);
    expect(after.nulls).toBe(before.nulls);
    expect(after.work).toBe(before.work);
  });

  it('makes another of the null that is rejected, and of no other', () => {
    const { run, say } = spokenRun();
    const before = run.view().nulls;
    say({ kind: 'reject', null: 'n3', reason: 'slipped' });
    const after = run.view().nulls;
    expect(after.map((found, at) => found === before[at])).toEqual([true, true, false, true]);
    expect(after[2]).toMatchObject({ used: false, rejected: 'slipped' });
  });

  it('works the result out again where a length that it reads has changed', () => {
    const { run, say } = spokenRun();
    const before = run.view().work.outcome?.result?.value;
    say({ kind: 'assign', null: 'n3', row: 8 });
    expect(run.view().work.outcome?.result?.value).not.toBe(before);
    say({ kind: 'undo', event: 6 });
    expect(run.view().work.outcome?.result?.value).toBe(before);
  });

  it('is made afresh for another room temperature only where a reference cell stands on the bench', () => {
    const { run, say } = spokenRun();
    const before = run.view().work;
    say({ kind: 'about', temperatureC: 30 });
    expect(run.view().work).toBe(before);
  });
});

describe('the picture of a null', () => {
  it('stays the same object while later nulls refine the lag and the zero', () => {
    const recording = begin({ seed: 4 });
    compare(recording, { fine: { ...SWEEPS, seconds: 2 } });
    const { records } = recordsOf(recording.text);
    const run = newFold(records);
    const pictures: unknown[] = [];
    const lengths: (number | null)[] = [];
    for (const record of records) {
      const before = run.state;
      run.addRecord(record);
      const [first] = run.state === before ? [] : run.view().nulls;
      if (first === undefined) continue;
      pictures.push(first.picture);
      lengths.push(first.lengthCm);
    }
    expect(new Set(lengths).size).toBeGreaterThan(2);
    expect(new Set(pictures).size).toBe(1);
  });
});

describe('the state of a run', () => {
  it('that was handed out stays as it was, and another takes its place', () => {
    const { run, say } = spokenRun();
    const before = run.state;
    const { lengths, evidence, benches } = before;
    const counts = [lengths.length, evidence.length, benches.length];
    say(eye(1, 3, 610), benchWith({ name: 'another' }));
    expect([lengths.length, evidence.length, benches.length]).toEqual(counts);
    expect(before.lengths).toBe(lengths);
    expect(run.state).not.toBe(before);
    expect(run.state.lengths).toHaveLength(counts[0] + 1);
    expect(run.state.evidence).toBe(evidence);
  });
});
