import type { Bench } from '../../bench/bench-file.ts';
import { statedEmfV } from '../../bench/stated-emf.ts';
import { fixed } from '../../calc-core/rounding.ts';
import type { FindingCode, NullView, RunView } from '../../run/view.ts';
import { cellsMeasured } from './cells-measured.ts';
import { Section, Table } from './figures.tsx';
import { voltsText } from './volts.ts';

/** What was checked before a null may be believed. Nothing is called right that was not seen. */

type Verdict = 'yes' | 'no' | 'not known';
type Check = [what: string, seen: string, verdict: Verdict];

const CONNECTION_CODES: readonly FindingCode[] = [
  'cell-reversed',
  'driver-below-cell',
  'driver-current-none',
  'driver-reversed',
  'galvanometer-reversed',
  'wire-broken',
  'no-galvanometer-current',
  'null-not-bracketed',
];

export function ConnectionCheck({ view, bench }: { view: RunView; bench: Bench }) {
  const faults = view.findings.filter(({ code }) => CONNECTION_CODES.includes(code));
  return (
    <Section title="Connection check">
      <Table
        caption="Before the run, and from the deflections of the run itself."
        columns={[
          { head: 'check', words: true },
          { head: 'seen', words: true },
          { head: 'fulfilled', words: true },
        ]}
        rows={[...driverChecks(view, bench), dropCheck(view, bench), oppositeCheck(view)]}
      />
      {faults.length === 0 ? (
        <p>{seenByTheBoard(view).length === 0 ? NOTHING_SEEN : 'No fault of connection was found.'}</p>
      ) : (
        <ul>
          {faults.map(({ text }) => (
            <li>{text}</li>
          ))}
        </ul>
      )}
    </Section>
  );
}

const verdict = (holds: boolean | null): Verdict => (holds === null ? 'not known' : holds ? 'yes' : 'no');

/** E > E1 and E > E2, from the voltmeter. */
function driverChecks(view: RunView, bench: Bench): Check[] {
  const emf = bench.driver?.emfV;
  return cellsMeasured(view).flatMap((cell): Check[] => {
    const volts = statedEmfV(bench, Number(cell));
    if (volts === undefined) return [];
    const seen =
      emf === undefined
        ? `cell ${cell}: ${voltsText(bench, volts)}; driver not stated`
        : `${emf} V and ${voltsText(bench, volts)}`;
    return [
      [`EMF of the driver above that of cell ${cell}`, seen, verdict(emf === undefined ? null : emf > volts)],
    ];
  });
}

/** Driver current times the wire's resistance, at the weakest setting, against the larger EMF. */
function dropCheck(view: RunView, bench: Bench): Check {
  const what =
    'potential difference across the whole wire above the larger EMF, at the smallest driver current';
  const currents = view.work.sets.flatMap((set) => (set.driverMa === null ? [] : [set.driverMa]));
  const emfs = cellsMeasured(view)
    .map((cell) => statedEmfV(bench, Number(cell)))
    .filter((volts) => volts !== undefined);
  if (currents.length === 0 || emfs.length === 0)
    return [what, 'no driver current or no voltmeter reading', 'not known'];
  const least = Math.min(...currents);
  const drop = (least / 1000) * bench.wire.resistanceOhm;
  const seen = `${fixed(least, 1)} mA × ${bench.wire.resistanceOhm} Ω = ${fixed(drop, 2)} V; ${voltsText(bench, Math.max(...emfs))}`;
  return [what, seen, verdict(drop > Math.max(...emfs))];
}

const NOTHING_SEEN = 'The board found no null, so faults of connection had no chance to show.';

const seenByTheBoard = (view: RunView): NullView[] =>
  view.nulls.filter((found) => found.by !== 'eye' && found.rejected === null);

/** A null is only found where the current changes sign, so every null shows opposite deflections on its two sides. */
function oppositeCheck(view: RunView): Check {
  const what = 'galvanometer deflects opposite ways on the two sides of the null';
  const seen = seenByTheBoard(view);
  const places = new Set(seen.map((found) => `${found.set} ${found.cell} ${found.load}`));
  if (seen.length === 0) return [what, 'no null was found by the board', 'not known'];
  return [what, `in all ${seen.length} nulls of ${places.size} lengths`, 'yes'];
}
