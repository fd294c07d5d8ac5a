import type { ComponentChildren } from 'preact';
import type { Bench } from '../../bench/bench-file.ts';
import { galvanometerUa, positionScale, positionStepCm } from '../../bench/calibration.ts';
import { DASH, fixed, roundTogether, significant } from '../../calc-core/rounding.ts';
import type { ReferenceCellView } from '../../run/view.ts';
import type { ReportedRun } from '../read-run.ts';
import { cellsMeasured } from './cells-measured.ts';
import { ohmText, Section, Table } from './figures.tsx';
import { voltsText } from './volts.ts';

/** What stood on the bench, with ranges and least counts as the bench file and the board state them. */

type Row = [item: string, values: ComponentChildren, range: string, leastCount: string];

export function Apparatus({ run, bench }: { run: ReportedRun; bench: Bench }) {
  const rows = [
    ...wireRows(run, bench),
    galvanometerRow(run, bench),
    ...meterRows(run, bench),
    ...sourceRows(run, bench),
    ...boardRows(run),
  ];
  return (
    <Section title="Apparatus">
      <Table
        caption={`${bench.name}: what was used, from the bench file and the board.`}
        columns={[
          { head: 'item', words: true },
          { head: 'values', words: true },
          { head: 'range', words: true },
          { head: 'least count', words: true },
        ]}
        rows={rows.map(([item, values, range, least]) => [item, values, unbroken(range), kept(least)])}
      />
      <p class="small">
        Also: one-way key, two-way key, jockey, connecting wires. “{DASH}”: not stated in the bench file.
      </p>
    </Section>
  );
}

const unbroken = (text: string): string => text.replaceAll(' ', '\u00a0');

/** A number and its unit stay on one line. */
const kept = (text: string): string => text.replace(/(\d) (?=[a-zA-ZµΩ]+\b|Ω)/g, '$1\u00a0');

function wireRows({ spans }: ReportedRun, bench: Bench): Row[] {
  const { wire, position } = bench;
  const length = wire.rows * wire.rowLengthCm;
  const perMetre = significant((100 * wire.resistanceOhm) / length, 3);
  const rows: Row[] = [
    [
      'stretched wire',
      `${wire.rows} rows of ${wire.rowLengthCm} cm, ${wire.resistanceOhm} Ω (${perMetre} Ω/m); A at the ${wire.zeroEnd} end of row 1`,
      `0 to ${length} cm`,
      DASH,
    ],
  ];
  if (position === undefined || spans.pos === null) return rows;
  const step = positionStepCm(positionScale(position), (spans.pos.minCount + spans.pos.maxCount) / 2);
  const scale = position.points.map((point) => point.scaleCm);
  return [
    ...rows,
    [
      'position sensor of the jockey',
      `calibrated at ${position.points.length} points; standard uncertainty ${position.standardUncertaintyCm} cm`,
      `${Math.min(...scale)} to ${Math.max(...scale)} cm`,
      `${fixed(step, 3)} cm`,
    ],
  ];
}

function galvanometerRow({ spans, view }: ReportedRun, bench: Bench): Row {
  const { resistanceOhm, microampsPerCount, zeroCounts } = bench.galvanometer;
  const zero = view.zero?.counts ?? zeroCounts;
  const ends = spans.gal === null ? null : [spans.gal.minCount, spans.gal.maxCount];
  const range = ends?.map((counts) => fixed(galvanometerUa(bench, counts, zero), 0)).join(' to ');
  const protective = bench.protectiveResistanceOhm;
  return [
    'galvanometer',
    `${resistanceOhm} Ω${protective === undefined ? '' : `; protective resistance ${ohmText(protective)}`}`,
    range === undefined ? DASH : `${range} µA`,
    `${Math.abs(microampsPerCount)} µA`,
  ];
}

function meterRows({ spans }: ReportedRun, bench: Bench): Row[] {
  const { ammeter, voltmeter } = bench;
  const rows: Row[] = [];
  if (ammeter !== undefined) {
    const step = ammeter.milliampsPerCount;
    const most =
      spans.drv === null || step === undefined ? null : (spans.drv.maxCount - ammeter.zeroCounts) * step;
    const range = ammeter.rangeMa ?? most;
    const least = [
      ammeter.leastCountMa === undefined ? '' : `${ammeter.leastCountMa} mA by eye`,
      step === undefined ? '' : `${step} mA by the board`,
    ];
    rows.push([
      'ammeter in the driver circuit',
      `zero correction ${fixed(ammeter.zeroCorrectionMa, 1)} mA, added to every reading`,
      range === null ? DASH : `0 to ${fixed(range, 0)} mA`,
      least.filter((part) => part !== '').join(', ') || DASH,
    ]);
  }
  if (voltmeter !== undefined)
    rows.push([
      'voltmeter',
      'for the check before the run',
      `0 to ${voltmeter.rangeV} V`,
      `${voltmeter.leastCountV} V`,
    ]);
  return rows;
}

function sourceRows({ view }: ReportedRun, bench: Bench): Row[] {
  const emf = bench.driver?.emfV;
  const driver: Row = ['driver cell and rheostat', emf === undefined ? DASH : `EMF ${emf} V`, DASH, DASH];
  const cells = cellsMeasured(view).map((cell): Row => {
    const known = bench.cells?.[cell];
    const reference = view.referenceCells.find((one) => `${one.cell}` === cell);
    if (reference !== undefined) return referenceRow(reference, known?.label);
    const volts =
      known?.voltmeterV === undefined ? DASH : `${voltsText(bench, known.voltmeterV)} by the voltmeter`;
    return [`cell ${cell}`, known?.label === undefined ? volts : `${known.label}; ${volts}`, DASH, DASH];
  });
  return [driver, ...cells, ...loadRows(view.events)];
}

function referenceRow({ cell, emfV, uEmfV, weston }: ReferenceCellView, label: string | undefined): Row {
  const kind = `${weston === null ? 'reference cell' : 'Weston cell'}, not read with the voltmeter`;
  const { value, uncertainty } = roundTogether(emfV, uEmfV);
  const emf = emfV === null ? 'EMF not known' : `EMF ${value} V, standard uncertainty ${uncertainty} V`;
  return [`cell ${cell}`, [label, kind, emf].filter((part) => part !== undefined).join('; '), DASH, DASH];
}

/** Loads as recorded, each once. */
function loadRows(events: ReportedRun['view']['events']): Row[] {
  const recorded = events.flatMap(({ event, undone }) => (event?.kind === 'load' && !undone ? [event] : []));
  const loads = new Map(
    recorded.flatMap(({ ohm, uOhm }) => (ohm === undefined ? [] : [[ohm, uOhm] as const])),
  );
  return [...loads].map(([ohm, uOhm]): Row => {
    const stated = uOhm === undefined ? 'uncertainty not stated' : `standard uncertainty ${uOhm} Ω`;
    return ['load resistance', `${ohm} Ω; ${stated}`, DASH, DASH];
  });
}

function boardRows({ view: { board, stream } }: ReportedRun): Row[] {
  if (board === null) return [];
  const read = `${stream.samples} samples read, ${stream.lostSamples} lost, ${stream.badLines} damaged lines`;
  return [
    [
      'board',
      `${board.name}, firmware ${board.firmware}, ${board.rateHz} samples a second; ${read}`,
      DASH,
      DASH,
    ],
  ];
}
