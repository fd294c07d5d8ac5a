import { useState } from 'preact/hooks';
import { useRecordEvent } from '../app/app-context.ts';
import { useFocusOnMount } from '../app/focus.ts';
import { useTexts } from '../texts/texts.ts';

export function RejectForm({ id, close }: { id: string; close: () => void }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const [reason, setReason] = useState('');
  const input = useFocusOnMount<HTMLInputElement>();
  const submit = (event: Event) => {
    event.preventDefault();
    recordEvent({ kind: 'reject', null: id, reason });
    close();
  };
  return (
    <form class="inline-form" onSubmit={submit}>
      <label>
        {texts.nulls.reason}
        <input
          ref={input}
          list="reject-reasons"
          value={reason}
          maxLength={200}
          onInput={(event) => setReason(event.currentTarget.value)}
        />
      </label>
      <datalist id="reject-reasons">
        {texts.nulls.reasons.map((text) => (
          <option key={text} value={text} />
        ))}
      </datalist>
      <button type="submit" class="main-action">
        {texts.nulls.reject} {id}
      </button>
      <button type="button" onClick={close}>
        {texts.nulls.cancel}
      </button>
    </form>
  );
}
