import { useEffect, useState } from 'preact/hooks';
import { fixed, plusMinusText, resultText, roundTogether } from '../../bridge/calc-core/rounding.ts';
import { setRows } from '../../bridge/run/set-rows.ts';
import type {
  CrossingView,
  NowView,
  NullView,
  RoomShows,
  SessionView,
} from '../../bridge/serve/page-protocol.ts';
import { useApp, usePage, useView } from '../app/app-context.ts';
import { useCalmNow } from '../app/calm.ts';
import { presentNull } from '../app/present-null.ts';
import { LengthPlotView } from '../plots/plot-views.tsx';
import { SetsPlot } from '../result/sets-plot.tsx';
import { sentence } from '../run/next-step.tsx';
import { Observations } from '../run/observations.tsx';
import { CellMark, cellText } from '../run/readout.tsx';
import { expandedText, outcomeOf, Quantity } from '../run/result-line.tsx';
import { WireDrawing } from '../run/wire-drawing.tsx';
import { useTexts } from '../texts/texts.ts';
import { type ShownCrossing, useCrossing } from './crossing.ts';
import { type BandScale, DeflectionBand, MOST_UA, SCALES } from './deflection-band.tsx';
import { soundOf, Tone } from './tone.ts';

/** For a projector: watches only, and is read from the last row. */
export function ShowPage() {
  const view = useView();
  const texts = useTexts();
  const state = usePage((page) => page.connection);
  const shows = useShows(view);
  const [scale, setScale] = useState<BandScale>('bent');
  const crossing = useCrossing(view?.nulls.at(-1)?.id ?? null);
  return (
    <main class={`show show-${shows} ${crossing?.standsOut ? 'show-crossed' : ''}`} id="main">
      <h1 class="visually-hidden">{texts.show.heading}</h1>
      {state !== 'open' && <p class="banner banner-warn">▲ {texts.connection[state]}</p>}
      {view === null ? (
        <p class="show-words">{texts.connection.noRun}</p>
      ) : shows === 'nothing' ? (
        <p class="show-words">{texts.show.nothing}</p>
      ) : (
        <>
          <Status view={view} />
          <Shown shows={shows} view={view} scale={scale} crossing={crossing} />
          <footer class="show-foot">
            <p class="show-next">{view.playback === null ? sentence(texts, view.next) : texts.link.replay}</p>
            <ScaleChoice scale={scale} setScale={setScale} />
            <ToneSwitch />
            <FullScreen />
          </footer>
        </>
      )}
    </main>
  );
}

type Shows = Exclude<RoomShows, 'by itself'>;

/** By itself the view shows the deflection, and the result once the work is done. */
function useShows(view: SessionView | null): Shows {
  const room = usePage((page) => page.room);
  if (room !== 'by itself') return room;
  return view !== null && view.next.do === 'finish' && outcomeOf(view) !== null ? 'result' : 'deflection';
}

interface ShownProps {
  shows: Shows;
  view: SessionView;
  scale: BandScale;
  crossing: ShownCrossing | null;
}

function Shown({ shows, view, scale, crossing }: ShownProps) {
  if (shows === 'table') return <Observations />;
  if (shows === 'result') return <Result view={view} />;
  return (
    <>
      <DeflectionBand scale={scale} />
      <div class="show-middle">
        <Length view={view} crossing={crossing} />
        {shows === 'plot' ? <LengthPlotView choice="follow" /> : <WireDrawing />}
      </div>
    </>
  );
}

/** The cell in circuit, the set, the protective resistance, and where the jockey is. */
function Status({ view }: { view: SessionView }) {
  const texts = useTexts();
  const now = useCalmNow();
  const { cell, set, protect, row } = view.labels;
  return (
    <p class="show-status">
      <span>
        <CellMark cell={cell.value} /> {cellText(texts, cell.value)}
        {set.value !== null && ` · ${texts.show.setInUse(set.value)}`}
        {protect.value !== null && ` · ${protect.value ? texts.show.coarse : texts.show.fine}`}
      </span>
      <span data-testid="jockey">{placeText(now, row.value, texts.show.jockeyAt)}</span>
    </p>
  );
}

const placeText = (
  now: NowView | null,
  row: number | null,
  said: (row: string, scale: string) => string,
): string => (now?.scaleCm == null ? '' : said(String(row ?? '–'), fixed(now.scaleCm, 1)));

/** The crossing while it is news, else the balancing length; one of another cell or set steps back. */
function Length({ view, crossing }: { view: SessionView; crossing: ShownCrossing | null }) {
  const texts = useTexts();
  if (crossing !== null) return <Crossing shown={crossing} />;
  const found = presentNull(view);
  if (found === null) return <p class="show-figure show-none">{texts.readout.none}</p>;
  const { cell, set } = view.labels;
  const isPresent = found.cell === cell.value && (set.value === null || found.set === set.value);
  const shown = roundTogether(found.lengthCm ?? found.scaleCm, found.uCm);
  return (
    <div class={`show-length cell-${found.cell ?? 0} ${isPresent ? '' : 'show-past'}`}>
      <p class="show-label">
        <CellMark cell={found.cell} />{' '}
        {found.lengthCm === null
          ? texts.readout.onScale
          : texts.show.balancingLength(cellText(texts, found.cell), found.set)}
      </p>
      <p class="show-figure" data-testid="balancing-length">
        {shown.value}
        <span class="show-unit"> cm</span>
      </p>
      <p class="show-label">
        ± {shown.uncertainty} cm · {howText(texts, found)}
      </p>
    </div>
  );
}

const howText = (texts: ReturnType<typeof useTexts>, { by, fine }: NullView): string =>
  `${texts.show.by[by]}${fine ? '' : ` · ${texts.readout.coarse}`}`;

function Crossing({ shown: { crossing } }: { shown: ShownCrossing }) {
  const texts = useTexts();
  return (
    <div class={`show-length show-crossing ${crossing.fine ? '' : 'show-coarse'}`} data-testid="crossing">
      <p class="show-label">
        <span aria-hidden="true">{crossing.fine ? '◆' : '◇'}</span>{' '}
        {texts.show[crossing.by === 'sweep' ? 'crossing' : 'between'](cellText(texts, crossing.cell))}
      </p>
      <CrossingPlace crossing={crossing} />
      <p class="show-label">{texts.show.fitFollows}</p>
    </div>
  );
}

/** A length where it was crossed in one slide, else the two lengths between which the null lies. */
function CrossingPlace({ crossing: { lengthCm, betweenCm } }: { crossing: CrossingView }) {
  const unit = (text: string) => <span class="show-unit"> {text}</span>;
  if (lengthCm !== null)
    return (
      <p class="show-figure">
        ≈ {fixed(lengthCm, 0)}
        {unit('cm')}
      </p>
    );
  if (betweenCm === null) return <p class="show-figure">0{unit('µA')}</p>;
  return (
    <p class="show-figure show-interval">
      {intervalText(betweenCm)}
      {unit('cm')}
    </p>
  );
}

/** Rounded outwards, so that the null stays inside; to millimetres where that tells more. */
export function intervalText([fromCm, toCm]: [number, number]): string {
  const decimals = toCm - fromCm < 4 ? 1 : 0;
  const steps = 10 ** decimals;
  return `${fixed(Math.floor(fromCm * steps) / steps, decimals)} – ${fixed(Math.ceil(toCm * steps) / steps, decimals)}`;
}

/** The result as the largest thing, with each set's ratio beside it. */
function Result({ view }: { view: SessionView }) {
  const texts = useTexts();
  const outcome = outcomeOf(view);
  if (outcome === null)
    return <p class="show-figure show-none">{view.resultsHidden ? texts.hidden.line : texts.result.none}</p>;
  return (
    <div class="show-outcome">
      <p class="show-figure" data-testid="result">
        <Quantity outcome={outcome} /> = {resultText(outcome)}
      </p>
      <p class="show-label">{expandedText(texts, outcome)}</p>
      <div class="show-sets">
        <SetsPlot view={view} />
        <ul>
          {setRows(view.work).map(({ set, made }) => (
            <li key={set}>
              {texts.show.setInUse(set)}: {plusMinusText(made)}
            </li>
          ))}
        </ul>
      </div>
    </div>
  );
}

interface ScaleChoiceProps {
  scale: BandScale;
  setScale: (scale: BandScale) => void;
}

function ScaleChoice({ scale, setScale }: ScaleChoiceProps) {
  const texts = useTexts();
  return (
    <select
      aria-label={texts.show.scale}
      value={scale}
      onChange={(event) => setScale(SCALES.find((one) => one === event.currentTarget.value) ?? 'bent')}
    >
      {SCALES.map((one) => (
        <option key={one} value={one}>
          {one === 'bent' ? texts.show.bentScale : `± ${one} µA`}
        </option>
      ))}
    </select>
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

function FullScreen() {
  const texts = useTexts();
  const turn = () =>
    document.fullscreenElement === null
      ? document.documentElement.requestFullscreen()
      : document.exitFullscreen();
  return document.fullscreenEnabled ? (
    <button type="button" onClick={() => void turn()}>
      {texts.show.fullScreen}
    </button>
  ) : null;
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
