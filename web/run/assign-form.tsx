import { useState } from 'preact/hooks';
import type { NullView } from '../../bridge/serve/page-protocol.ts';
import { useRecordEvent } from '../app/app-context.ts';
import { useFocusOnMount } from '../app/focus.ts';
import { useTexts } from '../texts/texts.ts';

/** Puts right what a null belongs to: cell, row, set. */
export function AssignForm({ found, close }: { found: NullView; close: () => void }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const [cell, setCell] = useState(found.cell);
  const [row, setRow] = useState(found.row);
  const [set, setSet] = useState(found.set);
  const first = useFocusOnMount<HTMLSelectElement>();
  const submit = (event: Event) => {
    event.preventDefault();
    recordEvent({
      kind: 'assign',
      null: found.id,
      ...(cell === 1 || cell === 2 ? { cell } : {}),
      ...(row === null ? {} : { row }),
      ...(set === null ? {} : { set }),
    });
    close();
  };
  return (
    <form class="inline-form" onSubmit={submit}>
      <label>
        {texts.labels.cell}
        <select
          ref={first}
          value={cell ?? ''}
          onChange={(event) => setCell(Number(event.currentTarget.value) || null)}
        >
          <option value="">–</option>
          <option value="1">1</option>
          <option value="2">2</option>
        </select>
      </label>
      <NumberField label={texts.labels.row} value={row} most={20} change={setRow} />
      <NumberField label={texts.labels.set} value={set} most={999} change={setSet} />
      <button type="submit" class="main-action">
        {texts.nulls.save}
      </button>
      <button type="button" onClick={close}>
        {texts.nulls.cancel}
      </button>
    </form>
  );
}

function NumberField(props: {
  label: string;
  value: number | null;
  most: number;
  change: (value: number | null) => void;
}) {
  return (
    <label>
      {props.label}
      <input
        type="number"
        min={1}
        max={props.most}
        value={props.value ?? ''}
        onInput={(event) => props.change(Number(event.currentTarget.value) || null)}
      />
    </label>
  );
}
