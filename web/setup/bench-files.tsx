import { useEffect, useState } from 'preact/hooks';
import type { BenchEntry } from '../../bridge/serve/messages.ts';
import { useApp, usePage } from '../app/app-context.ts';
import { fetchFrom } from '../app/desk-client.ts';
import { useTexts } from '../texts/texts.ts';
import { BLANK, type DraftTools } from './draft.ts';

/** The draft of a bench file, and the name it has or will have. */
export interface FileProps {
  tools: DraftTools;
  file: string;
  setFile: (file: string) => void;
}

/** Begin from a bench file, from the run shown, or from nothing. */
export function BenchFiles({ tools, setFile }: FileProps) {
  const texts = useTexts();
  const { store } = useApp();
  const shown = usePage((state) => state.view?.bench ?? null);
  const [benches, setBenches] = useState<BenchEntry[]>([]);
  useEffect(() => {
    void fetchFrom('benches').then((answer) => answer.ok && setBenches(answer.benches));
  }, []);
  const open = async (name: string) => {
    const answer = await fetchFrom('bench', { file: name });
    if (!answer.ok) return store.notify(answer);
    tools.replace(answer.bench);
    setFile(name);
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.begin}</h2>
      <div class="fields">
        <button type="button" onClick={() => tools.replace(BLANK)}>
          {texts.setup.fromNothing}
        </button>
        {shown !== null && (
          <button type="button" onClick={() => tools.replace(structuredClone(shown))}>
            {texts.setup.fromRun(shown.name)}
          </button>
        )}
        {benches.map((bench) => (
          <button type="button" key={bench.file} onClick={() => open(bench.file)}>
            {texts.setup.fromFile(bench.file, bench.versions)}
          </button>
        ))}
      </div>
    </section>
  );
}
