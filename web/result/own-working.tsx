import { useState } from 'preact/hooks';
import { fixed } from '../../bridge/calc-core/rounding.ts';
import { type SetRow, setRows } from '../../bridge/run/set-rows.ts';
import type { SessionView, WorkingView } from '../../bridge/serve/page-protocol.ts';
import { useMayRecord, useRecordEvent } from '../app/app-context.ts';
import { TableHead } from '../app/table-head.tsx';
import { useTexts } from '../texts/texts.ts';

/** By what a number of the form is known. */
type Field = `${number} ammeter` | `${number} made` | 'mean' | 'uncertainty';

const NOTHING: WorkingView = { sets: [], mean: '', uncertainty: '', isWhole: false, remarks: [] };

/** What a student works out by hand from this run's readings, and what each number is. */
export function OwnWorking({ view }: { view: SessionView }) {
  const texts = useTexts();
  const mayRecord = useMayRecord();
  const recordEvent = useRecordEvent();
  const [typed, setTyped] = useState<Partial<Record<Field, string>>>({});
  const rows = setRows(view.work).filter(({ lengths }) => lengths.every(({ value }) => Number(value) > 0));
  const working = view.working ?? NOTHING;
  if (rows.length === 0 || (!mayRecord && view.working === null)) return null;
  const value = (field: Field) => typed[field] ?? saidIn(working, field);
  const submit = (event: Event) => {
    event.preventDefault();
    const sets = rows.map(({ set }) => ({
      set,
      ammeterMa: value(`${set} ammeter`),
      made: value(`${set} made`),
    }));
    recordEvent({ kind: 'working', sets, mean: value('mean'), uncertainty: value('uncertainty') });
  };
  const input = (field: Field, label: string, inTable = false) => (
    <Typed
      inTable={inTable}
      label={label}
      value={value(field)}
      remark={working.remarks.find((remark) => fieldOf(remark.about) === field) ?? null}
      change={mayRecord ? (text) => setTyped({ ...typed, [field]: text }) : null}
    />
  );
  return (
    <details class="panel own-working" open={view.working !== null || view.resultsHidden}>
      <summary>
        <h2>{texts.working.heading}</h2>
      </summary>
      <p class="quiet">{view.resultsHidden ? texts.working.howHidden : texts.working.how}</p>
      {view.resultsHidden && view.working !== null && (
        <p role="status" class="own-wrong">
          {texts.working.notWhole}
        </p>
      )}
      <form onSubmit={submit}>
        <ReadingsTable view={view} rows={rows} input={input} />
        <div class="inline-form">
          {input('mean', texts.working.mean)}
          {input('uncertainty', texts.working.uncertainty)}
          {mayRecord && (
            <button type="submit">{view.resultsHidden ? texts.working.handIn : texts.working.compare}</button>
          )}
        </div>
      </form>
    </details>
  );
}

const fieldOf = (about: WorkingView['remarks'][number]['about']): Field =>
  'set' in about ? `${about.set} ${about.what}` : about.what;

function saidIn({ sets, mean, uncertainty }: WorkingView, field: Field): string {
  if (field === 'mean') return mean;
  if (field === 'uncertainty') return uncertainty;
  const [set, what] = field.split(' ');
  const said = sets.find((one) => String(one.set) === set);
  return (what === 'made' ? said?.made : said?.ammeterMa) ?? '';
}

interface TableProps {
  view: SessionView;
  rows: SetRow[];
  input: (field: Field, label: string, inTable: boolean) => preact.ComponentChild;
}

function ReadingsTable({ view: { work, bench }, rows, input }: TableProps) {
  const texts = useTexts();
  const correction = bench?.ammeter?.zeroCorrectionMa ?? 0;
  const corrected = texts.working.corrected(fixed(correction, 2));
  const isRatio = work.procedure === 'emf-comparison';
  const [first, second] = isRatio ? ['l₁', 'l₂'] : ['l₀', 'l'];
  const made = isRatio ? 'l₁/l₂' : 'R(l₀/l − 1) / Ω';
  const headings = [
    texts.labels.set,
    ...(correction === 0 ? [] : [texts.working.asRead, corrected]),
    ...(isRatio ? [] : ['R / Ω']),
    `${first} / cm`,
    `${second} / cm`,
    made,
  ];
  return (
    <table>
      <TableHead headings={headings} />
      <tbody>
        {rows.map(({ set, driverMa, loadOhm, lengths }) => (
          <tr key={set}>
            <th scope="row">{set}</th>
            {correction !== 0 && (
              <>
                <td>{fixed(Number(driverMa) - correction, 2)}</td>
                <td>{input(`${set} ammeter`, `${corrected}, ${texts.labels.set} ${set}`, true)}</td>
              </>
            )}
            {!isRatio && <td>{loadOhm}</td>}
            {lengths.map((length, at) => (
              <td key={headings.at(at - 3)}>{length.value}</td>
            ))}
            <td>{input(`${set} made`, `${made}, ${texts.labels.set} ${set}`, true)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

interface TypedProps {
  /** The heads of row and column say to those who see what the label says to those who listen. */
  inTable: boolean;
  label: string;
  value: string;
  remark: WorkingView['remarks'][number] | null;
  /** Null where nothing may be typed. */
  change: ((text: string) => void) | null;
}

function Typed({ inTable, label, value, remark, change }: TypedProps) {
  const texts = useTexts();
  return (
    <label class="own-number">
      <span class={inTable ? 'visually-hidden' : undefined}>{label}</span>
      <input
        inputMode="decimal"
        maxLength={40}
        value={value}
        readOnly={change === null}
        onInput={(event) => change?.(event.currentTarget.value)}
      />
      {remark !== null && (
        <span role="note" class={remark.isRight ? 'own-right' : 'own-wrong'}>
          {remark.isRight ? '✓' : '✗'} {texts.localise(remark)}
        </span>
      )}
    </label>
  );
}
