import type { ComponentChildren } from 'preact';
import type { Bench } from '../../bench/bench-file.ts';
import { galvanometerUa, positionScale, positionStepCm } from '../../bench/calibration.ts';
import { DASH, fixed, roundTogether, significant } from '../../calc-core/rounding.ts';
import type { ReferenceCellView } from '../../run/view.ts';
import type { ReportedRun } from '../read-run.ts';
import { cellsMeasured } from './cells-measured.ts';
import { ohmText, Section, Table } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';
import { voltsText } from './volts.ts';

/** What stood on the bench, with ranges and least counts as the bench file and the board state them. */

type Row = [item: string, values: ComponentChildren, range: string, leastCount: string];

export function Apparatus({ run, bench }: { run: ReportedRun; bench: Bench }) {
  const texts = useTexts();
  const { apparatus } = texts;
  const rows = [
    ...wireRows(texts, run, bench),
    galvanometerRow(texts, run, bench),
    ...meterRows(texts, run, bench),
    ...sourceRows(texts, run, bench),
    ...boardRows(texts, run),
  ];
  return (
    <Section title={apparatus.heading}>
      <Table
        caption={fill(apparatus.caption, { bench: bench.name })}
        columns={[
          { head: apparatus.item, words: true },
          { head: apparatus.values, words: true },
          { head: apparatus.range, words: true },
          { head: apparatus.leastCount, words: true },
        ]}
        rows={rows.map(([item, values, range, least]) => [item, values, unbroken(range), kept(least)])}
      />
      <p class="small">{fill(apparatus.also, { dash: DASH })}</p>
    </Section>
  );
}

const unbroken = (text: string): string => text.replaceAll(' ', '\u00a0');

/** A number and its unit stay on one line. */
const kept = (text: string): string => text.replace(/(\d) (?=[a-zA-ZµΩ]+\b|Ω)/g, '$1\u00a0');

function wireRows({ apparatus, to }: RecordTexts, { spans }: ReportedRun, bench: Bench): Row[] {
  const { wire, position } = bench;
  const length = wire.rows * wire.rowLengthCm;
  const perMetre = significant((100 * wire.resistanceOhm) / length, 3);
  const rows: Row[] = [
    [
      apparatus.wire,
      fill(apparatus.wireValues, {
        rows: wire.rows,
        rowCm: wire.rowLengthCm,
        ohm: wire.resistanceOhm,
        perMetre,
        end: apparatus.ends[wire.zeroEnd],
      }),
      `${fill(to, { from: 0, to: length })} cm`,
      DASH,
    ],
  ];
  if (position === undefined || spans.pos === null) return rows;
  const step = positionStepCm(positionScale(position), (spans.pos.minCount + spans.pos.maxCount) / 2);
  const scale = position.points.map((point) => point.scaleCm);
  return [
    ...rows,
    [
      apparatus.position,
      fill(apparatus.positionValues, { points: position.points.length, u: position.standardUncertaintyCm }),
      `${fill(to, { from: Math.min(...scale), to: Math.max(...scale) })} cm`,
      `${fixed(step, 3)} cm`,
    ],
  ];
}

function galvanometerRow({ apparatus, to }: RecordTexts, { spans, view }: ReportedRun, bench: Bench): Row {
  const { resistanceOhm, microampsPerCount, zeroCounts } = bench.galvanometer;
  const zero = view.zero?.counts ?? zeroCounts;
  const ends = spans.gal === null ? null : [spans.gal.minCount, spans.gal.maxCount];
  const range = ends?.map((counts) => fixed(galvanometerUa(bench, counts, zero), 0));
  const protective = bench.protectiveResistanceOhm;
  return [
    apparatus.galvanometer,
    [
      `${resistanceOhm} Ω`,
      ...(protective === undefined ? [] : [fill(apparatus.protective, { ohm: ohmText(protective) })]),
    ].join('; '),
    range === undefined ? DASH : `${fill(to, { from: range[0], to: range[1] })} µA`,
    `${Math.abs(microampsPerCount)} µA`,
  ];
}

function meterRows({ apparatus, to }: RecordTexts, { spans }: ReportedRun, bench: Bench): Row[] {
  const { ammeter, voltmeter } = bench;
  const rows: Row[] = [];
  if (ammeter !== undefined) {
    const step = ammeter.milliampsPerCount;
    const most =
      spans.drv === null || step === undefined ? null : (spans.drv.maxCount - ammeter.zeroCounts) * step;
    const range = ammeter.rangeMa ?? most;
    const least = [
      ammeter.leastCountMa === undefined ? '' : fill(apparatus.byEye, { step: ammeter.leastCountMa }),
      step === undefined ? '' : fill(apparatus.byBoard, { step }),
    ];
    rows.push([
      apparatus.ammeter,
      fill(apparatus.zeroCorrection, { mA: fixed(ammeter.zeroCorrectionMa, 1) }),
      range === null ? DASH : `${fill(to, { from: 0, to: fixed(range, 0) })} mA`,
      least.filter((part) => part !== '').join(', ') || DASH,
    ]);
  }
  if (voltmeter !== undefined)
    rows.push([
      apparatus.voltmeter,
      apparatus.voltmeterUse,
      `${fill(to, { from: 0, to: voltmeter.rangeV })} V`,
      `${voltmeter.leastCountV} V`,
    ]);
  return rows;
}

function sourceRows(texts: RecordTexts, { view }: ReportedRun, bench: Bench): Row[] {
  const { apparatus, cellNamed } = texts;
  const emf = bench.driver?.emfV;
  const driver: Row = [
    apparatus.driver,
    emf === undefined ? DASH : fill(apparatus.emf, { volts: emf }),
    DASH,
    DASH,
  ];
  const cells = cellsMeasured(view).map((cell): Row => {
    const known = bench.cells?.[cell];
    const reference = view.referenceCells.find((one) => `${one.cell}` === cell);
    if (reference !== undefined) return referenceRow(texts, reference, known?.label);
    const volts =
      known?.voltmeterV === undefined
        ? DASH
        : fill(apparatus.byVoltmeter, { volts: voltsText(bench, known.voltmeterV) });
    return [
      fill(cellNamed, { cell }),
      known?.label === undefined ? volts : `${known.label}; ${volts}`,
      DASH,
      DASH,
    ];
  });
  return [driver, ...cells, ...loadRows(texts, view.events)];
}

function referenceRow(
  { apparatus, cellNamed }: RecordTexts,
  { cell, emfV, uEmfV, weston }: ReferenceCellView,
  label: string | undefined,
): Row {
  const kind = weston === null ? apparatus.reference : apparatus.weston;
  const { value, uncertainty } = roundTogether(emfV, uEmfV);
  const emf =
    emfV === null ? apparatus.emfUnknown : fill(apparatus.referenceEmf, { volts: value, u: uncertainty });
  return [
    fill(cellNamed, { cell }),
    [label, kind, emf].filter((part) => part !== undefined).join('; '),
    DASH,
    DASH,
  ];
}

/** Loads as recorded, each once. */
function loadRows({ apparatus }: RecordTexts, events: ReportedRun['view']['events']): Row[] {
  const recorded = events.flatMap(({ event, undone }) => (event?.kind === 'load' && !undone ? [event] : []));
  const loads = new Map(
    recorded.flatMap(({ ohm, uOhm }) => (ohm === undefined ? [] : [[ohm, uOhm] as const])),
  );
  return [...loads].map(([ohm, uOhm]): Row => {
    const values =
      uOhm === undefined ? fill(apparatus.loadBare, { ohm }) : fill(apparatus.loadStated, { ohm, u: uOhm });
    return [apparatus.load, values, DASH, DASH];
  });
}

function boardRows({ apparatus }: RecordTexts, { view: { board, stream } }: ReportedRun): Row[] {
  if (board === null) return [];
  const values = fill(apparatus.boardValues, {
    name: board.name,
    firmware: board.firmware,
    rate: board.rateHz,
    samples: stream.samples,
    lost: stream.lostSamples,
    bad: stream.badLines,
  });
  return [[apparatus.board, values, DASH, DASH]];
}
