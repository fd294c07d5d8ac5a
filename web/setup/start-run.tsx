import { useState } from 'preact/hooks';
import { writeAddress } from '../app/address.ts';
import { useApp } from '../app/app-context.ts';
import { postTo } from '../app/desk-client.ts';
import { typedNumber } from '../run/typed-length.tsx';
import { useTexts } from '../texts/texts.ts';
import type { Source } from './source.tsx';

/** Begins a run on the saved bench, with the board at the port chosen above. */
export function StartRun({ file, source }: { file: string; source: Source }) {
  const texts = useTexts();
  const { store, connection } = useApp();
  const [by, setBy] = useState('');
  const [temperature, setTemperature] = useState('');
  const [procedure, setProcedure] = useState('emf-comparison');
  const start = async (event: Event) => {
    event.preventDefault();
    const names = by.split(',').map((name) => name.trim());
    const answer = await postTo('start', {
      port: source.port,
      baud: source.baud,
      file,
      by: names.filter((name) => name !== ''),
      temperatureC: typedNumber(temperature),
      procedure,
    });
    if (!answer.ok) return store.notify(answer);
    connection.open(answer.session);
    writeAddress({ tab: 'run', run: answer.session });
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.startHeading}</h2>
      <form class="fields" onSubmit={start}>
        <label class="field">
          <span>{texts.setup.by}</span>
          <input value={by} maxLength={200} onInput={(event) => setBy(event.currentTarget.value)} />
        </label>
        <label class="field">
          <span>{texts.setup.temperature} / °C</span>
          <input
            inputMode="decimal"
            value={temperature}
            onInput={(event) => setTemperature(event.currentTarget.value)}
          />
        </label>
        <label class="field">
          <span>{texts.setup.procedure}</span>
          <select value={procedure} onChange={(event) => setProcedure(event.currentTarget.value)}>
            <option value="emf-comparison">{texts.setup.comparison}</option>
            <option value="internal-resistance">{texts.setup.internalResistance}</option>
          </select>
        </label>
        <button type="submit" class="main-action" disabled={file === '' || source.port === ''}>
          {texts.setup.start}
        </button>
      </form>
      <p class="quiet">{texts.setup.startHow}</p>
    </section>
  );
}
