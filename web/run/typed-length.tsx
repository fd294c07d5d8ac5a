import { useState } from 'preact/hooks';
import { useMaySay, useSay, useView } from '../app/app-context.ts';
import { useFocusOnMount } from '../app/focus.ts';
import { useTexts } from '../texts/texts.ts';

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
  const say = useSay();
  const view = useView();
  const [scale, setScale] = useState('');
  const [uncertainty, setUncertainty] = useState('0.05');
  const first = useFocusOnMount<HTMLInputElement>();
  const scaleCm = typedNumber(scale);
  const uCm = typedNumber(uncertainty);
  const rowLength = view?.bench?.wire.rowLengthCm ?? 100;
  const sound = scaleCm !== null && scaleCm >= 0 && scaleCm <= rowLength && uCm !== null && uCm >= 0;
  const submit = (event: Event) => {
    event.preventDefault();
    if (scaleCm === null || uCm === null || !sound) return;
    say({ kind: 'length', scaleCm, uCm, ...labelsSaid(view) });
    close();
  };
  return (
    <form class="inline-form typed" onSubmit={submit} aria-label={texts.typed.heading}>
      <label>
        {texts.typed.scale}
        <input
          ref={first}
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

/** What is in force is written into the event, so that a later change of the key does not move the length. */
function labelsSaid(view: ReturnType<typeof useView>) {
  if (view === null) return {};
  const { cell, row, set } = view.labels;
  return {
    ...(cell.value === 1 || cell.value === 2 ? { cell: cell.value } : {}),
    ...(row.value === null ? {} : { row: row.value }),
    set: set.value,
  } as const;
}
