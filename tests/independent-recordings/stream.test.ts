import { describe, expect, it } from 'vitest';
import { codes, viewOf } from './fold-text.ts';
import { ALL } from './writer/board.ts';
import type { OutsideRun } from './writer/run.ts';
import { begin, fineNull, SWEEPS } from './writer/student.ts';
import { sealed } from './writer/wire-line.ts';

/** Counts of a recording that was written outside: what was lost, damaged, started anew, and what may be skipped. */

const WRAP = 4294967296;

function expectCounts(run: OutsideRun, boots = 1) {
  const view = viewOf(run.text);
  expect(view.stream).toEqual({
    samples: run.sound,
    badLines: run.damaged,
    lostSamples: run.damaged + run.unsent,
    boots,
  });
  return view;
}

/** One null of cell 1 with a word on where it lies. */
function nullNear(run: OutsideRun) {
  fineNull(run, { ...SWEEPS, by: 'one-way' });
  return run.truthCm();
}

describe('an undisturbed recording', () => {
  it.each([
    ['both counters from zero', { firstSeq: 0, firstTUs: 0 }],
    ['the clock wraps', { firstSeq: 17, firstTUs: WRAP - 4e6 }],
    ['the sequence number wraps', { firstSeq: 65_000, firstTUs: 9e8 }],
    ['both wrap at once', { firstSeq: 65_536 - 800, firstTUs: WRAP - 4e6 }],
  ])('has one start of the board, nothing lost and one null: %s', (_, board) => {
    const run = begin({ board });
    const truth = nullNear(run);
    const view = expectCounts(run);
    expect(codes(view)).toEqual(['too-few-sets']);
    expect(view.nulls).toHaveLength(1);
    expect(Math.abs(view.nulls[0].lengthCm! - truth)).toBeLessThan(3 * view.nulls[0].uCm);
    expect(Math.abs(view.durationS - run.tS)).toBeLessThan(0.02);
  });

  it('may end its lines with a carriage return, and its file be written with them', () => {
    const run = begin({ carriageReturns: true });
    nullNear(run);
    expect(expectCounts(run).nulls).toHaveLength(1);
    const plain = begin();
    nullNear(plain);
    expect(viewOf(plain.text.replaceAll('\n', '\r\n'))).toEqual(viewOf(plain.text));
  });

  it('may hold lines of other types, further fields, comments, blank lines and sent lines', () => {
    const run = begin();
    const before = run.text.length;
    run.heardPayload('Q,some,later,line');
    run.heardPayload('E,1200000,mark');
    run.heardPayload('A,?');
    run.heardPayload('X,R,too fast');
    run.heardPayload('C,3,temp,0,255');
    run.heardPayload(`H,1,OUTSIDE-1,outside-1,200,1F,a-later-field`);
    run.heardPayload('E,1200100,temperature,21.5');
    run.lines.push('# a comment', '', '1700 > ?', '1700.5 > R,200*F00D');
    expect(run.text.length).toBeGreaterThan(before);
    nullNear(run);
    // A further field on a sample.
    const last = run.lines.findIndex((line) => line.includes(' < S,'));
    const [stamp, payload] = run.lines[last].split(' < ');
    run.lines[last] = `${stamp} < ${sealed(`${payload.slice(0, -5)},17`)}`;
    const view = expectCounts(run);
    expect(view.nulls).toHaveLength(1);
    expect(codes(view)).toEqual(['too-few-sets']);
  });
});

describe('damage', () => {
  it('counts damaged lines, as bad and as lost, and reads the rest', () => {
    const run = begin({ damagedShare: 0.02 });
    const truth = nullNear(run);
    expect(run.damaged).toBeGreaterThan(5);
    // The last line must be sound: what is missing after it can't be counted.
    run.lift(0.2);
    const view = viewOf(run.text);
    expect(view.stream.badLines).toBe(run.damaged);
    expect(view.stream.samples).toBe(run.sound);
    expect(run.damaged - view.stream.lostSamples).toBeLessThan(3);
    expect(codes(view)).toEqual(expect.arrayContaining(['lines-damaged', 'samples-lost']));
    expect(Math.abs(view.nulls[0].lengthCm! - truth)).toBeLessThan(3 * view.nulls[0].uCm);
  });

  it('counts every kind of bad line once', () => {
    const run = begin();
    const sound = sealed('S,1,2,3,4,5,6,00');
    run.heard(sound.toLowerCase());
    run.heard(sound.slice(0, -1));
    run.heard('');
    run.heard('*');
    run.heard(`S,1,2,3*4,5,6,7,00*0000`);
    run.heard(String.fromCharCode(0, 255, 92, 13, 120, 7));
    run.heardPayload('S,70000,2,3,4,5,6,00');
    run.heardPayload('S,1,2,3,4,5,21,00');
    run.heardPayload('S,1,2,3,4,5');
    run.heardPayload('S,1,2,3.5,4,5,6,00');
    run.heardPayload('H,2,LATER,f,200,1F');
    run.heard(sealed(`S,1,2,3,4,5,6,00,${'x'.repeat(120)}`));
    run.lines.push('this is no record', '12 ? neither is this', '-4 < nor this');
    const { stream } = viewOf(run.text);
    expect(stream).toMatchObject({ badLines: 15, samples: run.sound, lostSamples: 0, boots: 1 });
  });

  it('does not count samples twice that an overrun names', () => {
    const run = begin();
    run.silence(0.1);
    run.heardPayload(`E,1600000,overrun,20`);
    nullNear(run);
    expect(codes(expectCounts(run))).toContain('samples-lost');
    expect(run.unsent).toBe(20);
  });

  it('leaves a torn last line out and says so', () => {
    const run = begin();
    nullNear(run);
    const whole = viewOf(run.text);
    const torn = viewOf(`${run.text}${run.lines[run.lines.length - 1].slice(0, 25)}`);
    expect(torn.stream).toEqual(whole.stream);
    expect(torn.nulls).toEqual(whole.nulls);
    expect(codes(torn)).toContain('recording-torn');
    expect(codes(whole)).not.toContain('recording-torn');
  });
});

describe('a board that starts anew', () => {
  it('is counted, and time goes on by the host', () => {
    const run = begin();
    const first = nullNear(run);
    run.restart(6);
    run.lift(1);
    const second = nullNear(run);
    const view = expectCounts(run, 2);
    expect(codes(view)).toContain('board-restarted');
    expect(view.nulls).toHaveLength(2);
    expect(Math.abs(view.durationS - run.tS)).toBeLessThan(0.1);
    for (const [index, truth] of [first, second].entries())
      expect(Math.abs(view.nulls[index].lengthCm! - truth)).toBeLessThan(3 * view.nulls[index].uCm);
  });

  it('is read by its earlier H and C lines until it sends new ones', () => {
    const run = begin();
    run.lift(5);
    run.restart(3);
    run.lines.splice(-4, 4);
    const truth = nullNear(run);
    const view = expectCounts(run, 2);
    expect(Math.abs(view.nulls[0].lengthCm! - truth)).toBeLessThan(3 * view.nulls[0].uCm);
  });
});

describe('a cable that is out', () => {
  it.each([[10], [90]])('for %i minutes: the board went on, what it sampled is lost', (minutes) => {
    const run = begin({ board: { firstTUs: WRAP - 300e6, firstSeq: 64_000 } });
    const first = nullNear(run);
    run.message({ kind: 'link', up: false });
    run.silence(minutes * 60);
    run.message({ kind: 'link', up: true });
    run.hello();
    run.lift(1);
    const second = nullNear(run);
    const view = expectCounts(run);
    expect(view.linkUp).toBe(true);
    expect(codes(view)).toContain('samples-lost');
    expect(codes(view)).not.toContain('board-restarted');
    expect(Math.abs(view.durationS - run.tS)).toBeLessThan(2);
    for (const [index, truth] of [first, second].entries())
      expect(Math.abs(view.nulls[index].lengthCm! - truth)).toBeLessThan(3 * view.nulls[index].uCm);
  });

  it('through the middle of a sweep leaves no null across the gap', () => {
    const run = begin();
    run.useProtection(false);
    const truth = run.truthCm();
    run.sweep(truth - 4, truth - 0.5, 2);
    run.lines.splice(-140, 140);
    run.sound -= 140;
    run.unsent += 140;
    run.silence(5);
    run.sweep(truth + 0.5, truth + 4, 2);
    expect(expectCounts(run).nulls).toHaveLength(0);
  });
});

describe('a board that says late who it is', () => {
  function late(seconds: number) {
    const run = begin();
    const introduction = run.lines.splice(3, 4);
    const truth = nullNear(run);
    const at = run.lines.findIndex((line) => Number(line.split(' ')[0]) > 1000 * seconds);
    run.lines.splice(
      at < 0 ? run.lines.length : at,
      0,
      ...introduction.map((line) => line.replace(/^\S+/, `${1000 * seconds}`)),
    );
    return { run, truth };
  }

  it('has its samples of up to 15 s read once it is known', () => {
    const { run, truth } = late(6);
    const view = expectCounts(run);
    expect(Math.abs(view.nulls[0].lengthCm! - truth)).toBeLessThan(3 * view.nulls[0].uCm);
    expect(view.durationS).toBeGreaterThan(6);
  });

  it('may say so in pieces between samples', () => {
    const run = begin();
    const introduction = run.lines.splice(3, 4);
    const truth = nullNear(run);
    for (const [index, line] of introduction.entries())
      run.lines.splice(60 + 150 * index, 0, line.replace(/^\S+/, run.lines[59 + 150 * index].split(' ')[0]));
    const view = expectCounts(run);
    expect(Math.abs(view.nulls[0].lengthCm! - truth)).toBeLessThan(3 * view.nulls[0].uCm);
  });

  it('has no more than 15 s read: a null before them is not found, one within is', () => {
    const [far, near] = [30, 12].map((seconds) => {
      const run = begin();
      const introduction = run.lines.splice(3, 4);
      nullNear(run);
      run.lift(seconds);
      run.lines.push(...introduction.map((line) => line.replace(/^\S+/, `${1e6}`)));
      return viewOf(run.text).nulls.length;
    });
    expect([far, near]).toEqual([0, 1]);
  });

  it('that never does so gives counts and no nulls', () => {
    const run = begin({ board: { senses: ALL } });
    run.lines.splice(3, 4);
    nullNear(run);
    run.lift(40);
    const view = expectCounts(run);
    expect(view.nulls).toEqual([]);
    expect(view.board).toBeNull();
  });
});
