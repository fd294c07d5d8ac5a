import { useState } from 'preact/hooks';
import { usePage } from '../app/app-context.ts';
import { postTo } from '../app/desk-client.ts';
import { useTexts } from '../texts/texts.ts';
import type { FileProps } from './bench-files.tsx';

const fileNameFor = (name: unknown): string => {
  const stem = String(name ?? '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return `${stem === '' ? 'bench' : stem}.json`;
};

/** Saved whole, with what stood there before kept; put in force at once where a live run is shown. */
export function Save({ tools, file, setFile }: FileProps) {
  const texts = useTexts();
  const live = usePage((state) =>
    state.sessions.find((one) => one.id === state.session && one.kind !== 'replay'),
  );
  const [words, setWords] = useState('');
  const name = file === '' ? fileNameFor(tools.draft.name) : file;
  const save = async (event: Event) => {
    event.preventDefault();
    const answer = await postTo('save', { file: name, bench: tools.draft, run: live?.id ?? null });
    if (answer.ok) setFile(answer.saved);
    setWords(answer.ok ? `✓ ${texts.setup.saved(answer.saved)}` : `▲ ${answer.text}`);
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.saveHeading}</h2>
      <form class="fields" onSubmit={save}>
        <label class="field">
          <span>{texts.setup.fileName}</span>
          <input value={name} onInput={(event) => setFile(event.currentTarget.value)} />
        </label>
        <button type="submit" class="main-action">
          {texts.setup.save}
        </button>
      </form>
      <p role="status" class="save-words" data-testid="saved">
        {words}
      </p>
      {live !== undefined && <p class="quiet">{texts.setup.inForce(live.title)}</p>}
    </section>
  );
}
