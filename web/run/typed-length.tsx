import { useState } from 'preact/hooks';
import { BY_EYE_CM } from '../../bridge/bench/by-eye.ts';
import type { RunEvent, SessionView } from '../../bridge/serve/page-protocol.ts';
import { useMayRecord, useRecordEvent, useView } from '../app/app-context.ts';
import { useFocusOnMount } from '../app/focus.ts';
import { useTexts } from '../texts/texts.ts';

/** Of a wire that no bench describes. */
const ROWS = 10;

/** A scale reading by eye as a number typed with a point or a comma; null where it is none. */
export function typedNumber(text: string): number | null {
  const value = Number(text.trim().replace(',', '.'));
  return text.trim() === '' || !Number.isFinite(value) ? null : value;
}

/** A balancing length read by eye: for boards without a position sensor, and for checks. */
export function TypedLength({ open, setOpen }: { open: boolean; setOpen: (open: boolean) => void }) {
  const texts = useTexts();
  const mayRecord = useMayRecord();
  const view = useView();
  if (!mayRecord || view === null) return null;
  return open ? (
    <TypedForm view={view} close={() => setOpen(false)} />
  ) : (
    <button type="button" class="open-form" onClick={() => setOpen(true)}>
      {texts.typed.open}
    </button>
  );
}

/** A length as it is being typed. */
interface Draft {
  row: string;
  scale: string;
  uncertainty: string;
}

/** The board tells no row, and the wire has several: it must be typed. */
const wantsRow = (view: SessionView): boolean =>
  view.labels.row.from !== 'board' && (view.bench?.wire.rows ?? ROWS) > 1;

/** The event that a draft makes; null while something in it is missing or off the wire. */
function lengthEvent(view: SessionView, draft: Draft): RunEvent | null {
  const [scaleCm, uCm] = [typedNumber(draft.scale), typedNumber(draft.uncertainty)];
  const row = wantsRow(view) ? typedNumber(draft.row) : view.labels.row.value;
  const { rows, rowLengthCm } = view.bench?.wire ?? { rows: ROWS, rowLengthCm: 100 };
  const onTheScale = scaleCm !== null && scaleCm >= 0 && scaleCm <= rowLengthCm;
  const onARow = row !== null && Number.isInteger(row) && row >= 1 && row <= rows;
  if (!onTheScale || uCm === null || uCm < 0 || (wantsRow(view) && !onARow)) return null;
  return { kind: 'length', scaleCm, uCm, ...labelsNow(view), ...(row === null ? {} : { row }) };
}

function TypedForm({ view, close }: { view: SessionView; close: () => void }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const [draft, setDraft] = useState<Draft>({
    row: String(view.labels.row.value ?? ''),
    scale: '',
    uncertainty: String(BY_EYE_CM),
  });
  const first = useFocusOnMount<HTMLInputElement>();
  const event = lengthEvent(view, draft);
  const submit = (submitted: Event) => {
    submitted.preventDefault();
    if (event === null) return;
    recordEvent(event);
    close();
  };
  const rowFirst = view.labels.row.value === null;
  const field = (name: keyof Draft, label: string, isFirst: boolean) => (
    <label>
      {label}
      <input
        ref={isFirst ? first : undefined}
        class={name === 'row' ? 'load-ohm' : undefined}
        inputMode={name === 'row' ? 'numeric' : 'decimal'}
        value={draft[name]}
        onInput={({ currentTarget }) => setDraft({ ...draft, [name]: currentTarget.value })}
      />
    </label>
  );
  return (
    <form class="inline-form typed" onSubmit={submit} aria-label={texts.typed.heading}>
      {wantsRow(view) && field('row', texts.labels.row, rowFirst)}
      {field('scale', texts.typed.scale, !rowFirst)}
      {field('uncertainty', texts.typed.uncertainty, false)}
      <button type="submit" class="main-action" disabled={event === null}>
        {texts.typed.add}
      </button>
      <button type="button" onClick={close}>
        {texts.nulls.cancel}
      </button>
    </form>
  );
}

/** Cell and set that hold now are written into the event, so that a later change of the key does not move the length. */
function labelsNow({ labels: { cell, set } }: SessionView): { cell?: 1 | 2; set: number } {
  return {
    ...(cell.value === 1 || cell.value === 2 ? { cell: cell.value } : {}),
    set: set.value,
  };
}
