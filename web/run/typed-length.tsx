import { useState } from 'preact/hooks';
import type { ByEyeCm } from '../../bridge/serve/page-protocol.ts';
import { useMaySay, useRecordEvent, useView } from '../app/app-context.ts';
import { useFocusOnMount } from '../app/focus.ts';
import { useTexts } from '../texts/texts.ts';

/** Standard uncertainty of a reading of the metre scale, as the bridge takes it where nobody states another. */
const BY_EYE_CM: ByEyeCm = 0.05;

/** A scale reading by eye as a number typed with a point or a comma; null where it is none. */
export function typedNumber(text: string): number | null {
  const value = Number(text.trim().replace(',', '.'));
  return text.trim() === '' || !Number.isFinite(value) ? null : value;
}

/** A balancing length read by eye: for boards without a position sensor, and for checks. */
export function TypedLength({ open, setOpen }: { open: boolean; setOpen: (open: boolean) => void }) {
  const texts = useTexts();
  const maySay = useMaySay();
  if (!maySay) return null;
  return open ? (
    <TypedForm close={() => setOpen(false)} />
  ) : (
    <button type="button" class="open-form" onClick={() => setOpen(true)}>
      {texts.typed.open}
    </button>
  );
}

function TypedForm({ close }: { close: () => void }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const view = useView();
  const [row, setRow] = useState(String(view?.labels.row.value ?? ''));
  const rowFirst = view?.labels.row.value === null;
  const [scale, setScale] = useState('');
  const [uncertainty, setUncertainty] = useState(String(BY_EYE_CM));
  const first = useFocusOnMount<HTMLInputElement>();
  const scaleCm = typedNumber(scale);
  const uCm = typedNumber(uncertainty);
  const { rows, rowLengthCm } = view?.bench?.wire ?? { rows: 10, rowLengthCm: 100 };
  const readsRow = view?.labels.row.from !== 'board' && rows > 1;
  const rowRead = readsRow ? typedNumber(row) : (view?.labels.row.value ?? null);
  const onARow = rowRead !== null && Number.isInteger(rowRead) && rowRead >= 1 && rowRead <= rows;
  const onTheScale = scaleCm !== null && scaleCm >= 0 && scaleCm <= rowLengthCm;
  const sound = onTheScale && uCm !== null && uCm >= 0 && (onARow || !readsRow);
  const submit = (event: Event) => {
    event.preventDefault();
    if (scaleCm === null || uCm === null || !sound) return;
    recordEvent({
      kind: 'length',
      scaleCm,
      uCm,
      ...labelsSaid(view),
      ...(rowRead === null ? {} : { row: rowRead }),
    });
    close();
  };
  return (
    <form class="inline-form typed" onSubmit={submit} aria-label={texts.typed.heading}>
      {readsRow && (
        <label>
          {texts.labels.row}
          <input
            ref={rowFirst ? first : undefined}
            class="load-ohm"
            inputMode="numeric"
            value={row}
            onInput={(event) => setRow(event.currentTarget.value)}
          />
        </label>
      )}
      <label>
        {texts.typed.scale}
        <input
          ref={rowFirst ? undefined : first}
          inputMode="decimal"
          value={scale}
          onInput={(event) => setScale(event.currentTarget.value)}
        />
      </label>
      <label>
        {texts.typed.uncertainty}
        <input
          inputMode="decimal"
          value={uncertainty}
          onInput={(event) => setUncertainty(event.currentTarget.value)}
        />
      </label>
      <button type="submit" class="main-action" disabled={!sound}>
        {texts.typed.add}
      </button>
      <button type="button" onClick={close}>
        {texts.nulls.cancel}
      </button>
    </form>
  );
}

/** Cell and set in force are written into the event, so that a later change of the key does not move the length. */
function labelsSaid(view: ReturnType<typeof useView>) {
  if (view === null) return {};
  const { cell, set } = view.labels;
  return {
    ...(cell.value === 1 || cell.value === 2 ? { cell: cell.value } : {}),
    set: set.value,
  } as const;
}
