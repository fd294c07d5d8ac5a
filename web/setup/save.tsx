import { useState } from 'preact/hooks';
import type { Refused } from '../../bridge/serve/page-protocol.ts';
import { usePage } from '../app/app-context.ts';
import { postTo, refusalIn } from '../app/bench-setup-client.ts';
import { useTexts } from '../texts/texts.ts';
import type { DraftTools } from './draft-tools.ts';

const fileNameFor = (name: unknown): string => {
  const stem = String(name ?? '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return `${stem === '' ? 'bench' : stem}.json`;
};

/** Paths of the fields that a refusal names, in its order; null for a fault of no field. */
function pathsOf({ descriptor }: Refused): (string | null)[] {
  const { faults } = descriptor.values;
  if (!Array.isArray(faults)) return [];
  return faults.map((fault) => {
    const path: unknown = fault.values?.path;
    return typeof path === 'string' ? path : null;
  });
}

/** The refusal with each field under the name that people see; a path that no field on the page has stays. */
function withNames(refused: Refused, names: ReadonlyMap<string, string>): Refused {
  const paths = pathsOf(refused);
  const nameOf = (path: string | null) => (path === null ? undefined : names.get(path));
  const lines = refused.text.split('\n').map((line, index) => {
    const name = nameOf(paths[index] ?? null);
    return name === undefined ? line : line.replace(`${paths[index]}:`, () => `${name}:`);
  });
  const { faults } = refused.descriptor.values;
  if (!Array.isArray(faults)) return refused;
  const named = faults.map((fault, index) => {
    const path = nameOf(paths[index]);
    return path === undefined ? fault : { ...fault, values: { ...fault.values, path } };
  });
  return {
    ...refused,
    text: lines.join('\n'),
    descriptor: { ...refused.descriptor, values: { faults: named } },
  };
}

/** Saved whole, with what stood there before kept; put in force at once where a live run is shown. */
export function Save({ tools }: { tools: DraftTools }) {
  const texts = useTexts();
  const live = usePage((state) =>
    state.sessions.find((one) => one.id === state.session && one.kind !== 'replay'),
  );
  const [answer, setAnswer] = useState('');
  const name = tools.file === '' ? fileNameFor(tools.draft.name) : tools.file;
  const save = async (event: Event) => {
    event.preventDefault();
    const answer = await postTo('save', { file: name, bench: tools.draft, run: live?.id ?? null });
    if (answer.ok) tools.markSaved(answer.saved);
    tools.setFaulty(answer.ok ? [] : pathsOf(answer).filter((path) => path !== null));
    setAnswer(
      answer.ok
        ? `✓ ${texts.setup.saved(answer.saved, answer.kept)}`
        : `▲ ${refusalIn(texts, withNames(answer, tools.fieldNames))}`,
    );
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.saveHeading}</h2>
      <form class="fields" onSubmit={save}>
        <label class="field">
          <span>{texts.setup.fileName}</span>
          <input value={name} onInput={(event) => tools.setFile(event.currentTarget.value)} />
        </label>
        <button type="submit" class="main-action">
          {texts.setup.save}
        </button>
      </form>
      <p role="status" class="save-answer" data-testid="saved">
        {answer}
      </p>
      {live !== undefined && <p class="quiet">{texts.setup.inForce(live.title)}</p>}
    </section>
  );
}
