import type { SessionView } from '../../bridge/serve/page-protocol.ts';
import { useMayRecord, useRecordEvent, useTeaches } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';

/** Whether the students see the result, to be changed by the teacher alone. */
export function ForTheTeacher({ view: { resultsHidden } }: { view: SessionView }) {
  const texts = useTexts();
  const teaches = useTeaches();
  const mayRecord = useMayRecord();
  const recordEvent = useRecordEvent();
  if (!teaches || !mayRecord) return null;
  return (
    <section class="panel" aria-label={texts.hidden.teacher}>
      <h2>{texts.hidden.teacher}</h2>
      <p>{resultsHidden ? texts.hidden.isHidden : texts.hidden.isShown}</p>
      <button type="button" onClick={() => recordEvent({ kind: 'results', hidden: !resultsHidden })}>
        {resultsHidden ? texts.hidden.show : texts.hidden.hide}
      </button>
    </section>
  );
}
