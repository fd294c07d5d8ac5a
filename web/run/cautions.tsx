import { usePage } from '../app/app-context.ts';
import { usePreference } from '../app/preferences.ts';
import { useTexts } from '../texts/texts.ts';

/** Message once and plainly before the first run of this browser; to be had again below the table. */
export function Cautions() {
  const texts = useTexts();
  const [read, setRead] = usePreference('cautions', 'unread', ['unread', 'read']);
  if (read === 'read') return null;
  return (
    <section class="cautions" aria-labelledby="cautions-heading">
      <h2 id="cautions-heading">▲ {texts.cautions.heading}</h2>
      <CautionList />
      <button type="button" class="main-action" onClick={() => setRead('read')}>
        {texts.cautions.done}
      </button>
    </section>
  );
}

export function CautionsAgain() {
  const texts = useTexts();
  return (
    <details class="panel">
      <summary>
        <h2>{texts.cautions.again}</h2>
      </summary>
      <CautionList />
    </details>
  );
}

/** Those of reference cells stand where the run's bench has one. */
export function CautionList() {
  const texts = useTexts();
  const hasReference = usePage((state) => (state.view?.referenceCells.length ?? 0) > 0);
  const { list, reference } = texts.cautions;
  return (
    <>
      <ul class="caution-list">
        {(hasReference ? [...list, ...reference] : list).map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <p>
        <strong>{texts.cautions.rule}</strong>
      </p>
    </>
  );
}
