import { useState } from 'preact/hooks';
import type { ExportKind } from '../../bridge/serve/page-protocol.ts';
import { useMaySteer, usePage, useTeaches, useView } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { giveMade } from '../app/give-made.ts';
import { useTexts } from '../texts/texts.ts';

const PAGES: ExportKind[] = ['page', 'short', 'sheet'];
const KINDS: ExportKind[] = ['page', 'short', 'sheet', 'json', 'sets', 'nulls'];
/** Without a result. */
const LENGTHS_ALONE: ExportKind[] = ['sheet', 'sets', 'nulls'];

/** The record for printing in a window of its own; tables and JSON as files. */
export function Exports() {
  const texts = useTexts();
  const ask = useAsk();
  const maySteer = useMaySteer();
  const session = usePage((state) => state.session);
  const teaches = useTeaches();
  const hidden = useView()?.resultsHidden === true && !teaches;
  const [making, setMaking] = useState(false);
  if (!maySteer || session === null) return null;
  const give = async (kind: ExportKind) => {
    setMaking(true);
    await giveMade(
      () => ask(postTo('export', { session, as: kind, language: texts.code })),
      PAGES.includes(kind) && texts.exports.making,
    );
    setMaking(false);
  };
  return (
    <section class="exports" aria-label={texts.exports.heading}>
      {(hidden ? LENGTHS_ALONE : KINDS).map((kind) => (
        <button type="button" key={kind} disabled={making} onClick={() => give(kind)}>
          {texts.exports[kind]}
        </button>
      ))}
      <span role="status" class="quiet">
        {making ? texts.exports.making : ''}
      </span>
    </section>
  );
}
