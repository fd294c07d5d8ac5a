import type { Bench } from '../../bench/bench-file.ts';
import { statedEmfV } from '../../bench/stated-emf.ts';
import { fixed } from '../../calc-core/rounding.ts';
import type { FindingCode, NullView, RunView } from '../../run/view.ts';
import { cellsMeasured } from './cells-measured.ts';
import { Section, Table } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';
import { voltsText } from './volts.ts';

/** What was checked before a null may be believed. Nothing is called right that was not seen. */

type Check = [what: string, seen: string, verdict: string];

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
  const texts = useTexts();
  const { connection } = texts;
  const faults = view.findings.filter(({ code }) => CONNECTION_CODES.includes(code));
  return (
    <Section title={connection.heading}>
      <Table
        caption={connection.caption}
        columns={[
          { head: connection.check, words: true },
          { head: connection.seen, words: true },
          { head: connection.fulfilled, words: true },
        ]}
        rows={[
          ...driverChecks(texts, view, bench),
          dropCheck(texts, view, bench),
          oppositeCheck(texts, view),
        ]}
      />
      {faults.length === 0 ? (
        <p>{seenByTheBoard(view).length === 0 ? connection.nothingSeen : connection.noFault}</p>
      ) : (
        <ul>
          {faults.map((fault) => (
            <li>{texts.localise(fault)}</li>
          ))}
        </ul>
      )}
    </Section>
  );
}

const verdict = ({ yes, no, notKnown }: RecordTexts, holds: boolean | null): string =>
  holds === null ? notKnown : holds ? yes : no;

/** E > E1 and E > E2, from the voltmeter. */
function driverChecks(texts: RecordTexts, view: RunView, bench: Bench): Check[] {
  const { connection } = texts;
  const emf = bench.driver?.emfV;
  return cellsMeasured(view).flatMap((cell): Check[] => {
    const volts = statedEmfV(bench, Number(cell));
    if (volts === undefined) return [];
    const seen =
      emf === undefined
        ? fill(connection.driverUnknown, { cell, volts: voltsText(bench, volts) })
        : fill(connection.both, { first: emf, second: voltsText(bench, volts) });
    const holds = emf === undefined ? null : emf > volts;
    return [[fill(connection.driverAbove, { cell }), seen, verdict(texts, holds)]];
  });
}

/** Driver current times the wire's resistance, at the weakest setting, against the larger EMF. */
function dropCheck(texts: RecordTexts, view: RunView, bench: Bench): Check {
  const { drop: what, dropUnknown } = texts.connection;
  const currents = view.work.sets.flatMap((set) => (set.driverMa === null ? [] : [set.driverMa]));
  const emfs = cellsMeasured(view)
    .map((cell) => statedEmfV(bench, Number(cell)))
    .filter((volts) => volts !== undefined);
  if (currents.length === 0 || emfs.length === 0) return [what, dropUnknown, texts.notKnown];
  const least = Math.min(...currents);
  const drop = (least / 1000) * bench.wire.resistanceOhm;
  const seen = `${fixed(least, 1)} mA × ${bench.wire.resistanceOhm} Ω = ${fixed(drop, 2)} V; ${voltsText(bench, Math.max(...emfs))}`;
  return [what, seen, verdict(texts, drop > Math.max(...emfs))];
}

const seenByTheBoard = (view: RunView): NullView[] =>
  view.nulls.filter((found) => found.by !== 'eye' && found.rejected === null);

/** A null is only found where the current changes sign, so every null shows opposite deflections on its two sides. */
function oppositeCheck({ connection, notKnown, yes }: RecordTexts, view: RunView): Check {
  const { opposite: what, oppositeSeen, oppositeUnknown } = connection;
  const seen = seenByTheBoard(view);
  const places = new Set(seen.map((found) => `${found.set} ${found.cell} ${found.load}`));
  if (seen.length === 0) return [what, oppositeUnknown, notKnown];
  return [what, fill(oppositeSeen, { nulls: seen.length, lengths: places.size }), yes];
}
