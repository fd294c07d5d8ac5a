import { useState } from 'preact/hooks';
import type { SessionSummary } from '../../bridge/serve/page-protocol.ts';
import { writeAddress } from '../app/address.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { useTexts } from '../texts/texts.ts';

/** Ends the run shown, so that its port is free; asked twice, because what the board says from then on is not kept. */
export function EndRun({ run }: { run: SessionSummary }) {
  const texts = useTexts();
  const ask = useAsk();
  const [sure, setSure] = useState(false);
  const end = async () => {
    const answer = await ask(postTo('end', { session: run.id }));
    setSure(false);
    if (answer !== null) writeAddress({ tab: 'recordings', run: null });
  };
  return (
    <div class="fields">
      <p>{texts.setup.isOn(run.title)}</p>
      {sure ? (
        <>
          <button type="button" class="main-action" onClick={end}>
            {texts.setup.endSure}
          </button>
          <button type="button" onClick={() => setSure(false)}>
            {texts.nulls.cancel}
          </button>
        </>
      ) : (
        <button type="button" onClick={() => setSure(true)}>
          {texts.setup.end}
        </button>
      )}
    </div>
  );
}
