import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Message } from '../../bridge/calc-core/message.ts';
import { CALCULATION_MESSAGES } from '../../bridge/calc-core/messages.ts';
import { BENCH_SETUP_MESSAGES } from '../../bridge/messages/bench-setup-messages.ts';
import { MESSAGES } from '../../bridge/messages/catalogue.ts';
import { CLASS_MESSAGES } from '../../bridge/messages/class-messages.ts';
import { CONNECTION_MESSAGES } from '../../bridge/messages/connection-messages.ts';
import { catalogue } from '../../bridge/messages/es/catalogue.ts';
import { LINK_MESSAGES } from '../../bridge/messages/link-messages.ts';
import { RUN_MESSAGES } from '../../bridge/messages/run-messages.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { INVENTED_BENCH, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { referenceScene } from '../../bridge/simulate/reference-scene.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { es } from '../../web/texts/es.ts';
import { viewOf } from '../independent-recordings/fold-text.ts';
import type { BoardSpec } from '../independent-recordings/writer/board.ts';
import type { Setting } from '../independent-recordings/writer/circuit.ts';
import { begin, type Choice } from '../independent-recordings/writer/student.ts';
import { CONNECTIONS } from '../run/findings/connections.ts';
import { NULLS } from '../run/findings/nulls.ts';
import { PLACES } from '../run/findings/places.ts';
import { SETS } from '../run/findings/sets.ts';

/** Everything that the bridge says, said in Spanish. */

const TABLES = [
  CALCULATION_MESSAGES,
  CLASS_MESSAGES,
  CONNECTION_MESSAGES,
  BENCH_SETUP_MESSAGES,
  LINK_MESSAGES,
  RUN_MESSAGES,
];
/** Values alone, put together without a word. */
const SILENT = ['as-it-came', 'field-fault', 'field-faults', 'link-remark'];

/** The bridge's code without its tables of words. */
const sourcesOf = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((file) => /\.tsx?$/.test(file) && !/words\.ts$/.test(file))
    .map((file) => readFileSync(join(folder, file), 'utf8'));

type Sentence = (values: never) => string;

/** Values by their names, so that a sentence shows what it says of each. */
const LISTS = ['causes', 'faults', 'others'];
const NAMED = new Proxy({} as Record<string, string | string[]>, {
  get: (_, name: string) => (LISTS.includes(name) ? [`⟨${name} a⟩`, `⟨${name} b⟩`] : `⟨${name}⟩`),
});

const localise = (sentence: Sentence): string => sentence(NAMED as never);
const valuesIn = (text: string): string[] => (text.match(/⟨[^⟩]*⟩|\d+([.,]\d+)*/g) ?? []).sort();

describe('the message catalogue', () => {
  it('have keys of their own in every table', () => {
    const keys = TABLES.flatMap((table) => Object.keys(table));
    expect(new Set(keys).size).toBe(keys.length);
    expect(Object.keys(MESSAGES).sort()).toEqual(keys.sort());
    expect(Object.keys(catalogue).sort()).toEqual(keys);
  });

  it('has no sentence that no code uses', () => {
    const code = sourcesOf('bridge').join('\n');
    expect(Object.keys(MESSAGES).filter((key) => !new RegExp(`'${key}'(?!:)`).test(code))).toEqual([]);
  });

  it.each(Object.entries(MESSAGES) as [keyof typeof MESSAGES, Sentence][])(
    'in Spanish: %s',
    (key, english) => {
      const [one, other] = [localise(english), localise(catalogue[key])];
      expect(valuesIn(other)).toEqual(valuesIn(one));
      if (!SILENT.includes(key)) expect(other).not.toBe(one);
    },
  );
});

const makeRun = await runMaker();

function spoken(events: readonly object[]): RunView {
  const fold = makeRun([]);
  events.forEach((event, ms) => {
    fold.addRecord({ ms, mark: '!', payload: JSON.stringify(event) });
  });
  return fold.view();
}

function simulated(scene: Scene): RunView {
  const fold = makeRun([]);
  for (const record of simulateRun(scene)) fold.addRecord(record);
  return fold.view();
}

const fixture = (name: string) => readFileSync(new URL(`../../fixtures/${name}`, import.meta.url), 'utf8');

const BENCHES: Choice['bench'][] = [
  {},
  { reversedCell: 1 },
  { reversedDriver: true },
  { swappedLeads: true },
  { reversedDriver: true, reversedCell: 1 },
];
const BOARDS: Partial<BoardSpec>[] = [{}, { senses: 0 }, { channels: ['gal', 'pos'] }];

/** Both cells tapped at the ends and twice between, on a sound bench or a faulty one. */
function surveyed(bench: Choice['bench'], board: Partial<BoardSpec>, fault: Partial<Setting> = {}): RunView {
  const run = begin({ seed: 5, board, bench: { protectOhm: 22_000, ...bench } });
  Object.assign(run.setting, fault);
  run.useProtection(true);
  run.lift(3);
  for (const cell of [1, 2] as const) {
    run.useCell(cell);
    for (const place of [4, 350, 650, 996]) {
      run.lift(1);
      run.tap(place);
    }
  }
  run.lift(3);
  return viewOf(run.text);
}

const eye = (cell: number, set: number, row: number, scaleCm: number) => ({
  kind: 'length',
  cell,
  set,
  row,
  scaleCm,
});
const BENCH = { kind: 'bench', bench: INVENTED_BENCH };
const LENGTHS = [
  [6, 40, 5, 30],
  [8, 20, 7, 95],
  [10, 20, 8, 5],
  [9, 20, 7, 5],
].flatMap(([row1, scale1, row2, scale2], index) => [
  eye(1, index + 1, row1, scale1),
  eye(2, index + 1, row2, scale2),
]);
const BARE = { ...INVENTED_BENCH, driver: { emfV: 1.4 }, wire: { ...INVENTED_BENCH.wire, rows: 30 } };

const WESTON = { emfV: 1.0186, standardUncertaintyV: 0.0001, weston: { formula: 'hamer-1972' } };
const DRIFTING = sceneWith({
  seed: 5,
  apparatus: { driver: { driftPercentPerMin: -0.6 } },
  board: { line: { rebootsAtS: [30] } },
});

const views = (): RunView[] => [
  ...[CONNECTIONS, NULLS, PLACES, SETS].flatMap((shown) =>
    Object.values(shown).map(([first]) => first.has()),
  ),
  ...['comparison-four-sets.rec', 'internal-resistance.rec', 'operator-words.rec'].map((name) =>
    viewOf(fixture(name)),
  ),
  ...BENCHES.flatMap((bench) => BOARDS.map((board) => surveyed(bench, board))),
  surveyed({}, {}, { brokenCm: 480 }),
  surveyed({}, {}, { branchOpen: true }),
  surveyed({}, { rateHz: 100 }, { keyClosed: false }),
  viewOf(fixture('operator-words.rec').slice(0, -9)),
  simulated(referenceScene(2)),
  simulated(DRIFTING),
  spoken([]),
  spoken([BENCH, { kind: 'length', scaleCm: 40 }]),
  spoken([BENCH, ...LENGTHS.slice(0, 4)]),
  spoken([
    { kind: 'bench', bench: { ...INVENTED_BENCH, cells: { '2': { reference: WESTON } } } },
    { kind: 'procedure', procedure: 'internal-resistance' },
  ]),
  spoken([{ kind: 'bench', bench: BARE }, { kind: 'odd' }]),
  spoken([BENCH, ...LENGTHS, { kind: 'reject', null: 'n3', reason: 'slipped' }]),
];

function messagesIn(view: RunView): Message[] {
  const { work } = view;
  const emf = work.procedure === 'emf-comparison' ? work.emf : null;
  const outcomes = [work.outcome, emf].filter((one) => one !== null);
  return [
    ...view.findings,
    ...outcomes.flatMap(({ faults }) => faults),
    ...view.nulls.flatMap(({ whyNot }) => whyNot ?? []),
    ...outcomes.flatMap(({ result }) =>
      result === null ? [] : [result.method, ...result.budget.map((row) => row.meaning)],
    ),
  ];
}

describe('messages of runs', () => {
  it('is given in Spanish with the same numbers, after a way through JSON', () => {
    const all = views();
    const messages = all.flatMap(messagesIn);
    for (const one of JSON.parse(JSON.stringify(messages)) as Message[]) {
      const spanish = es.localise(one);
      expect(spanish).not.toBe(one.text);
      expect(spanish).not.toMatch(/undefined|\[object|\bthe\b/);
      expect(valuesIn(spanish)).toEqual(valuesIn(one.text));
    }
    const codes = new Set<string>(all.flatMap(({ findings }) => findings.map(({ code }) => code)));
    const lacking = Object.keys(es.findings.titles).filter((code) => !codes.has(code));
    expect(lacking).toEqual([]);
  });

  it('falls back on English for what an older page does not know', () => {
    expect(es.localise({ text: 'Something new.', descriptor: { key: 'something-new', values: {} } })).toBe(
      'Something new.',
    );
  });
});
