import type { NextStep } from '../../bridge/serve/page-protocol.ts';
import { writeAddress } from '../app/address.ts';
import { usePage, useView } from '../app/app-context.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';

/** A step as a sentence of the language in use. */
export function sentence(texts: Texts, step: NextStep): string {
  // Each text takes the step of its own name; the compiler can't see that the two agree.
  const sentence = texts.steps[step.do] as (step: NextStep) => string;
  return sentence(step);
}

export function NextStepView() {
  const texts = useTexts();
  const view = useView();
  if (view === null) return <NoRun />;
  const text = sentence(texts, view.next);
  const stop = view.next.do === 'put-right';
  return (
    <section class={stop ? 'next next-stop' : 'next'} aria-label={texts.next}>
      <span class="next-label" aria-hidden="true">
        {stop ? `■ ${texts.findings.severity.stop}` : texts.next}
      </span>
      <p class="next-text" aria-live="polite" data-step={view.next.do}>
        {text}
      </p>
    </section>
  );
}

/** Nothing to show yet: where to begin. */
function NoRun() {
  const texts = useTexts();
  const none = usePage((state) => state.connection === 'open' && state.sessions.length === 0);
  if (!none) return null;
  return (
    <section class="next" aria-label={texts.next}>
      <span class="next-label" aria-hidden="true">
        {texts.next}
      </span>
      <p class="next-text">{texts.connection.noRun}</p>
      {(['bench', 'recordings'] as const).map((tab) => (
        <button type="button" key={tab} onClick={() => writeAddress({ tab })}>
          {texts.tabs[tab]}
        </button>
      ))}
    </section>
  );
}
