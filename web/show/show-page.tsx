import { useEffect, useState } from 'preact/hooks';
import { resultText, roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { NowView } from '../../bridge/serve/page-protocol.ts';
import { useApp, usePage, useView } from '../app/app-context.ts';
import { LengthPlotView } from '../plots/plot-views.tsx';
import { sentence } from '../run/next-step.tsx';
import { CellMark, cellText, presentNull } from '../run/readout.tsx';
import { expandedText, outcomeOf } from '../run/result-line.tsx';
import { useTexts } from '../texts/texts.ts';
import { MOST_UA, Pointer } from './pointer.tsx';
import { soundOf, Tone } from './tone.ts';

/** For a projector: watches only, and is read from the last row. */
export function ShowPage() {
  const view = useView();
  const texts = useTexts();
  const state = usePage((page) => page.connection);
  return (
    <main class="show" id="main">
      <h1 class="visually-hidden">{texts.show.heading}</h1>
      {state !== 'open' && <p class="banner banner-warn">▲ {texts.connection[state]}</p>}
      <ShowLength />
      <Pointer />
      <LengthPlotView choice="follow" />
      <footer class="show-foot">
        <p class="show-next">{view === null ? texts.connection.noRun : sentence(texts, view.next)}</p>
        <ShowResult />
        <ToneSwitch />
      </footer>
    </main>
  );
}

function ShowLength() {
  const view = useView();
  const texts = useTexts();
  const found = view === null ? null : presentNull(view);
  if (found === null) return <p class="show-figure show-none">{texts.readout.none}</p>;
  const shown = roundTogether(found.lengthCm ?? found.scaleCm, found.uCm);
  return (
    <div class={`show-length cell-${found.cell ?? 0}`}>
      <p class="show-figure" data-testid="balancing-length">
        {shown.value}
        <span class="show-unit"> cm</span>
      </p>
      <p class="show-note">
        <CellMark cell={found.cell} /> {cellText(texts, found.cell)}
        <br />± {shown.uncertainty} cm
        <br />
        {texts.readout.rowAndScale(String(found.row ?? '–'), roundTogether(found.scaleCm, found.uCm).value)}
      </p>
    </div>
  );
}

function ShowResult() {
  const view = useView();
  const texts = useTexts();
  const outcome = view === null ? null : outcomeOf(view);
  if (outcome === null) return null;
  return (
    <p class="show-result" title={expandedText(texts, outcome)}>
      {outcome.quantity} = {resultText(outcome)}
    </p>
  );
}

/** The tone is made in the press itself: some browsers let nothing else begin a sound. */
function ToneSwitch() {
  const texts = useTexts();
  const [tone, setTone] = useState<Tone | null>(null);
  useTone(tone);
  const turn = () => setTone(tone === null ? new Tone() : null);
  return (
    <button type="button" aria-pressed={tone !== null} onClick={turn}>
      {tone === null ? texts.show.toneOff : texts.show.toneOn}
    </button>
  );
}

/** Each new reading is followed once. */
function useTone(tone: Tone | null): void {
  const { store } = useApp();
  useEffect(() => {
    if (tone === null) return;
    let followed: NowView | null = null;
    const stop = store.subscribe(() => {
      const { now } = store.state;
      if (now === followed || now === null) return;
      followed = now;
      tone.follow(soundOf(now.currentUa, now.contact !== false, MOST_UA));
    });
    return () => {
      stop();
      tone.close();
    };
  }, [tone, store]);
}
