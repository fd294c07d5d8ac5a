import { useEffect, useState } from 'preact/hooks';
import type { BenchEntry } from '../../bridge/serve/page-protocol.ts';
import { useAnswers, usePage } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { useTexts } from '../texts/texts.ts';
import { BLANK } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';

/** Begin from a bench file, from the run shown, or from nothing; and back, after a press too many. */
export function BenchFiles({ tools }: { tools: DraftTools }) {
  const texts = useTexts();
  const ask = useAsk();
  const shown = usePage((state) => state.view?.bench ?? null);
  const answers = useAnswers();
  const [benches, setBenches] = useState<BenchEntry[]>([]);
  useEffect(() => {
    void postTo('benches', {}).then((answer) => answer.ok && setBenches(answer.benches));
  }, [tools.file, answers]);
  const open = async (name: string) => {
    const answer = await ask(postTo('bench', { file: name }));
    if (answer !== null) tools.replace(answer.bench, name);
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.begin}</h2>
      <div class="fields">
        <button type="button" onClick={() => tools.replace(BLANK, '')}>
          {texts.setup.fromNothing}
        </button>
        {shown !== null && (
          <button type="button" onClick={() => tools.replace(structuredClone(shown), '')}>
            {texts.setup.fromRun(shown.name)}
          </button>
        )}
        {benches.map((bench) => (
          <button type="button" key={bench.file} onClick={() => open(bench.file)}>
            {texts.setup.fromFile(bench.file, bench.versions)}
          </button>
        ))}
        {tools.takeBack !== null && (
          <button type="button" onClick={tools.takeBack}>
            {texts.setup.takeBack}
          </button>
        )}
      </div>
    </section>
  );
}
