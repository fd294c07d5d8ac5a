import { useState } from 'preact/hooks';
import type { ExportKind } from '../../bridge/serve/page-protocol.ts';
import { useMaySteer, usePage } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { useTexts } from '../texts/texts.ts';

const KINDS: ExportKind[] = ['page', 'json', 'sets', 'nulls'];

/** The record for printing in a window of its own; tables and JSON as files. */
export function Exports() {
  const texts = useTexts();
  const ask = useAsk();
  const maySteer = useMaySteer();
  const session = usePage((state) => state.session);
  const [making, setMaking] = useState(false);
  if (!maySteer || session === null) return null;
  const give = async (kind: ExportKind) => {
    // Opened before the answer is there, or the browser takes it for a window that nobody asked for.
    const window_ = kind === 'page' ? window.open('') : null;
    window_?.document.body.append(texts.exports.making);
    // The record of a long run takes its seconds.
    setMaking(true);
    const answer = await ask(postTo('export', { session, as: kind }));
    setMaking(false);
    if (answer === null) return window_?.close();
    const url = URL.createObjectURL(new Blob([answer.text], { type: `${answer.type};charset=utf-8` }));
    if (window_ !== null) window_.location.href = url;
    else save(url, answer.name);
  };
  return (
    <section class="exports" aria-label={texts.exports.heading}>
      {KINDS.map((kind) => (
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

function save(url: string, name: string): void {
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The browser has read it by then.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
