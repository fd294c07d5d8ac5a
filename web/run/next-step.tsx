import type { NextStep } from '../../bridge/serve/messages.ts';
import { useView } from '../app/app-context.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';

/** A step as a sentence of the language in use. */
export function sentence(texts: Texts, step: NextStep): string {
  // Each text takes the step of its own name; the compiler can't see that the two agree.
  const say = texts.steps[step.do] as (step: NextStep) => string;
  return say(step);
}

export function NextStepView() {
  const texts = useTexts();
  const view = useView();
  const text = view === null ? texts.connection.noRun : sentence(texts, view.next);
  const stop = view?.next.do === 'put-right';
  return (
    <section class={stop ? 'next next-stop' : 'next'} aria-label={texts.next}>
      <span class="next-label" aria-hidden="true">
        {stop ? `■ ${texts.findings.severity.stop}` : texts.next}
      </span>
      <p class="next-text" aria-live="polite" data-step={view?.next.do}>
        {text}
      </p>
    </section>
  );
}
