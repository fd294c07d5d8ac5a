import { useState } from 'preact/hooks';
import { useMayRecord, useRecordEvent, useView } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';
import { typedNumber } from './typed-length.tsx';

/** Whose run, and how warm: the record needs it. Asked for while it is missing. */
export function AboutForm() {
  const view = useView();
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const mayRecord = useMayRecord();
  const [by, setBy] = useState('');
  const [temperature, setTemperature] = useState('');
  const known = view?.about?.by;
  if (view === null || !mayRecord || (Array.isArray(known) && known.length > 0)) return null;
  const submit = (event: Event) => {
    event.preventDefault();
    const names = by.split(',').map((name) => name.trim());
    const temperatureC = typedNumber(temperature);
    recordEvent({
      kind: 'about',
      by: names.filter((name) => name !== ''),
      ...(temperatureC === null ? {} : { temperatureC }),
    });
  };
  return (
    <form class="panel inline-form about" onSubmit={submit} aria-label={texts.about.heading}>
      <label>
        {texts.setup.by}
        <input value={by} maxLength={200} onInput={(event) => setBy(event.currentTarget.value)} />
      </label>
      <label>
        {texts.setup.temperature} / °C
        <input
          class="load-ohm"
          inputMode="decimal"
          value={temperature}
          onInput={(event) => setTemperature(event.currentTarget.value)}
        />
      </label>
      <button type="submit" disabled={by.trim() === ''}>
        {texts.nulls.save}
      </button>
    </form>
  );
}

/** The ammeter read by eye, where the board does not measure the driver current. */
export function AmmeterForm() {
  const view = useView();
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const mayRecord = useMayRecord();
  const [typed, setTyped] = useState('');
  const reading = typedNumber(typed);
  if (view === null || !mayRecord || view.board === null || view.board.channels.includes('drv')) return null;
  const submit = (event: Event) => {
    event.preventDefault();
    if (reading === null) return;
    recordEvent({ kind: 'ammeter', readingMa: reading });
    setTyped('');
  };
  return (
    <form class="inline-form" onSubmit={submit}>
      <label>
        {texts.about.ammeter} / mA
        <input inputMode="decimal" value={typed} onInput={(event) => setTyped(event.currentTarget.value)} />
      </label>
      <button type="submit" disabled={reading === null}>
        {texts.nulls.save}
      </button>
    </form>
  );
}
