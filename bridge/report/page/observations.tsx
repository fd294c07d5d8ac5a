import type { ComponentChildren } from 'preact';
import { DASH, fixed, lengthDecimals, roundTogether } from '../../calc-core/rounding.ts';
import { driverText, type SetRow, setRows } from '../../run/set-rows.ts';
import type { ComparisonWork, NullView, ResistanceWork, RunView, RunWork } from '../../run/view.ts';
import { Section, Sym, Table } from './figures.tsx';

/** The table of observations, and below it, unless the record is short, every null that it was made from. */
export function Observations({ view, isShort = false }: { view: RunView; isShort?: boolean }) {
  return (
    <Section title="Observations">
      {view.work.sets.length === 0 ? (
        <p>No set of observations is complete.</p>
      ) : (
        <SetsTable work={view.work} />
      )}
      {view.nulls.length === 0 ? <p>No null was found.</p> : null}
      {view.nulls.length === 0 || isShort ? null : <NullTable nulls={view.nulls} />}
    </Section>
  );
}

function SetsTable({ work }: { work: RunWork }) {
  return work.procedure === 'emf-comparison' ? <ComparisonTable work={work} /> : <LoadTable work={work} />;
}

const U = (
  <>
    <i>u</i> / cm
  </>
);

const lengthHead = (name: string): ComponentChildren => (
  <>
    <Sym name={name} /> / cm
  </>
);

/** Values and their uncertainties in neighbouring cells. */
const figuresOf = ({ lengths, made }: SetRow): string[] =>
  [...lengths, made].flatMap(({ value, uncertainty }) => [value, uncertainty]);

function ComparisonTable({ work }: { work: ComparisonWork }) {
  const rows = setRows(work);
  return (
    <Table
      caption="Balancing lengths, each the weighted mean of its nulls brought to the set's driver current; u is its whole standard uncertainty."
      columns={[
        { head: 'no.' },
        { head: 'corrected ammeter reading / mA' },
        { head: lengthHead('l_1') },
        { head: U },
        { head: lengthHead('l_2') },
        { head: U },
        {
          head: (
            <>
              <Sym name="l_1" />/<Sym name="l_2" />
            </>
          ),
        },
        { head: <i>u</i> },
        { head: 'accepted', words: true },
      ]}
      rows={work.sets.map((set, index) => [
        set.set,
        rows[index].driverMa,
        ...figuresOf(rows[index]),
        accepted(set.ratio, set.l1Cm === null ? 'cell 1' : set.l2Cm === null ? 'cell 2' : null),
      ])}
    />
  );
}

function LoadTable({ work }: { work: ResistanceWork }) {
  const rows = setRows(work);
  return (
    <Table
      caption="Balancing lengths with the load out and in, each the weighted mean of its nulls brought to the set's driver current; u is its whole standard uncertainty."
      columns={[
        { head: 'no.' },
        { head: 'corrected ammeter reading / mA' },
        { head: 'load R / Ω' },
        { head: lengthHead('l_0') },
        { head: U },
        { head: lengthHead('l') },
        { head: U },
        {
          head: (
            <>
              <i>R</i>(
              <Sym name="l_0" />/<Sym name="l" /> − 1) / Ω
            </>
          ),
        },
        {
          head: (
            <>
              <i>u</i> / Ω
            </>
          ),
        },
        { head: 'accepted', words: true },
      ]}
      rows={work.sets.map((set, index) => [
        set.set,
        rows[index].driverMa,
        rows[index].loadOhm,
        ...figuresOf(rows[index]),
        accepted(set.rOhm, set.l0Cm === null ? 'the load out' : set.lCm === null ? 'the load in' : null),
      ])}
    />
  );
}

function accepted(value: number | null, missing: string | null): string {
  if (value !== null) return 'yes';
  return missing === null ? 'no: see the findings' : `no: no length with ${missing} that counts`;
}

const BY: Readonly<Record<NullView['by'], string>> = { sweep: 'sweep', taps: 'taps', eye: 'by eye' };

/** As read, brought to the set's current, and the uncertainty of reading. */
const lengthsOf = ({ lengthCm, broughtCm, uReadCm }: NullView, decimals: number): string[] => {
  const { value, uncertainty } = roundTogether(lengthCm, uReadCm, decimals);
  return [value, fixed(broughtCm, decimals), uncertainty];
};

function NullTable({ nulls }: { nulls: readonly NullView[] }) {
  const withLoad = nulls.some((found) => found.load);
  const cm = lengthDecimals(nulls.filter((found) => found.fine).map((found) => found.uReadCm));
  return (
    <Table
      caption="Every null in the order found, its length as read and as it would be at the mean driver current of its set. u of reading is what the readings alone leave; the calibration of the scale comes on top and is the same for nulls at one place."
      columns={[
        { head: 'null', words: true },
        { head: 'set' },
        { head: 'cell' },
        ...(withLoad ? [{ head: 'load / Ω' }] : []),
        { head: 'row' },
        { head: 'scale / cm' },
        { head: 'length / cm' },
        { head: 'at the set’s current / cm' },
        { head: 'u of reading / cm' },
        { head: 'driver / mA' },
        { head: 'found by', words: true },
        { head: 'accepted, or why not', words: true },
      ]}
      rows={nulls.map((found) => [
        found.id,
        found.set ?? DASH,
        found.cell ?? DASH,
        ...(withLoad ? [found.load ? (found.loadOhm ?? 'in') : 'out'] : []),
        found.row ?? DASH,
        fixed(found.scaleCm, cm),
        ...lengthsOf(found, cm),
        driverText(found.driverMa),
        BY[found.by],
        found.used ? 'yes' : `no: ${found.whyNot?.text}`,
      ])}
    />
  );
}
