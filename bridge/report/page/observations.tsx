import type { ComponentChildren } from 'preact';
import { DASH, fixed, lengthDecimals, roundTogether } from '../../calc-core/rounding.ts';
import { driverText, type SetRow, setRows } from '../../run/set-rows.ts';
import type { ComparisonWork, NullView, ResistanceWork, RunView, RunWork } from '../../run/view.ts';
import { Section, Sym, Table } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';

/** The table of observations, and below it, unless the record is short, every null that it was made from. */
export function Observations({ view, isShort = false }: { view: RunView; isShort?: boolean }) {
  const { observations } = useTexts();
  return (
    <Section title={observations.heading}>
      {view.work.sets.length === 0 ? <p>{observations.noSet}</p> : <SetsTable work={view.work} />}
      {view.nulls.length === 0 ? <p>{observations.noNull}</p> : null}
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
  const texts = useTexts();
  const { observations } = texts;
  const rows = setRows(work);
  return (
    <Table
      caption={observations.comparison}
      columns={[
        { head: observations.number },
        { head: observations.corrected },
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
        { head: observations.accepted, words: true },
      ]}
      rows={work.sets.map((set, index) => [
        set.set,
        rows[index].driverMa,
        ...figuresOf(rows[index]),
        accepted(texts, set.ratio, set.l1Cm === null ? '1' : set.l2Cm === null ? '2' : null),
      ])}
    />
  );
}

function LoadTable({ work }: { work: ResistanceWork }) {
  const texts = useTexts();
  const { observations } = texts;
  const rows = setRows(work);
  return (
    <Table
      caption={observations.resistance}
      columns={[
        { head: observations.number },
        { head: observations.corrected },
        { head: observations.load },
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
        { head: observations.accepted, words: true },
      ]}
      rows={work.sets.map((set, index) => [
        set.set,
        rows[index].driverMa,
        rows[index].loadOhm,
        ...figuresOf(rows[index]),
        accepted(texts, set.rOhm, set.l0Cm === null ? 'out' : set.lCm === null ? 'in' : null),
      ])}
    />
  );
}

function accepted(
  { observations, yes }: RecordTexts,
  value: number | null,
  missing: keyof RecordTexts['observations']['missing'] | null,
): string {
  if (value !== null) return yes;
  return missing === null ? observations.rejected : observations.missing[missing];
}

/** As read, brought to the set's current, and the uncertainty of reading. */
const lengthsOf = ({ lengthCm, broughtCm, uReadCm }: NullView, decimals: number): string[] => {
  const { value, uncertainty } = roundTogether(lengthCm, uReadCm, decimals);
  return [value, fixed(broughtCm, decimals), uncertainty];
};

function NullTable({ nulls }: { nulls: readonly NullView[] }) {
  const { observations, localise, set, yes } = useTexts();
  const withLoad = nulls.some((found) => found.load);
  const cm = lengthDecimals(nulls.filter((found) => found.fine).map((found) => found.uReadCm));
  return (
    <Table
      caption={observations.nulls}
      columns={[
        { head: observations.null, words: true },
        { head: set },
        { head: observations.cell },
        ...(withLoad ? [{ head: observations.nullLoad }] : []),
        { head: observations.row },
        { head: observations.scale },
        { head: observations.length },
        { head: observations.brought },
        { head: observations.uRead },
        { head: observations.driver },
        { head: observations.foundBy, words: true },
        { head: observations.nullAccepted, words: true },
      ]}
      rows={nulls.map((found) => [
        found.id,
        found.set ?? DASH,
        found.cell ?? DASH,
        ...(withLoad ? [found.load ? (found.loadOhm ?? observations.loadIn) : observations.loadOut] : []),
        found.row ?? DASH,
        fixed(found.scaleCm, cm),
        ...lengthsOf(found, cm),
        driverText(found.driverMa),
        observations.by[found.by],
        found.used || found.whyNot === null
          ? yes
          : fill(observations.whyNot, { why: localise(found.whyNot) }),
      ])}
    />
  );
}
