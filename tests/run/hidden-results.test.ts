import { describe, expect, it } from 'vitest';
import { withoutResults } from '../../bridge/run/hidden-results.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { eventsInForce } from '../../bridge/session/events-in-force.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { eye, fixtureRun, runOfEvents } from '../report/runs.ts';

const HIDE = { kind: 'results', hidden: true };
const LENGTHS = [eye(1, 1, 6, 40), eye(2, 1, 5, 70), eye(1, 2, 8, 20), eye(2, 2, 6, 12)];
const handedIn = (...made: string[]) => ({
  kind: 'working',
  sets: made.map((text, index) => ({ set: index + 1, ammeterMa: '', made: text })),
  mean: '1,12',
  uncertainty: '',
});

const viewOf = (...events: object[]): RunView =>
  runOfEvents([{ kind: 'bench', bench: INVENTED_BENCH }, ...LENGTHS, ...events]).view;

describe('results that a teacher hides', () => {
  it.each([
    ['nobody hid them', [], false],
    ['they are hidden', [HIDE], true],
    ['the teacher shows them', [HIDE, { kind: 'results', hidden: false }], false],
    ['the hiding is taken back', [HIDE, { kind: 'undo', event: 6 }], true],
    [
      'the showing is taken back',
      [HIDE, { kind: 'results', hidden: false }, { kind: 'undo', event: 7 }],
      false,
    ],
    ['a part of the working is handed in', [HIDE, handedIn('1.12')], true],
    ['words are handed in', [HIDE, handedIn('1.12', 'about one')], true],
    ['the working is handed in, right or wrong', [HIDE, handedIn('1.12', '9.9')], false],
    ['it was handed in before they were hidden', [handedIn('1.12', '1.36'), HIDE], false],
    ['it is taken back', [HIDE, handedIn('1.12', '1.36'), { kind: 'undo', event: 7 }], true],
    [
      'another set is measured then',
      [HIDE, handedIn('1.12', '1.36'), eye(1, 3, 7, 20), eye(2, 3, 6, 2)],
      true,
    ],
  ])('%s', (_, events, hidden) => {
    expect(viewOf(...events).resultsHidden).toBe(hidden);
  });

  it('hide what is worked out, and leave nulls and lengths', () => {
    const whole = viewOf(HIDE);
    const shown = withoutResults(whole);
    expect(whole.work.outcome?.result).not.toBeNull();
    expect(shown.work.outcome).toBeNull();
    expect(shown.nulls).toBe(whole.nulls);
    expect(shown.work.sets).toMatchObject(
      LENGTHS.filter(({ cell }) => cell === 1).map(() => ({ ratio: null })),
    );
    expect(shown.work.sets.map((set) => 'l1Cm' in set && set.l1Cm)).toEqual([560, 780]);
  });

  it('hide an internal resistance likewise', async () => {
    const { view } = await fixtureRun('internal-resistance.rec');
    const shown = withoutResults({ ...view, resultsHidden: true });
    const { rOhm } = view.work.sets[0] as { rOhm: number };
    expect(JSON.stringify(view.work)).toContain(String(rOhm));
    expect(JSON.stringify(shown.work)).not.toContain(String(rOhm).slice(0, 6));
    expect(shown.work.sets).toHaveLength(view.work.sets.length);
  });

  it('hold where the recording goes on in another file, with what was handed in', () => {
    const hidden = viewOf(HIDE, { kind: 'undo', event: 6 });
    expect(eventsInForce(hidden)).toContainEqual(HIDE);
    expect(eventsInForce(viewOf(HIDE, handedIn('1.12', '1.36'))).map(({ kind }) => kind)).toContain(
      'working',
    );
  });
});
