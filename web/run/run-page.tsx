import { useState } from 'preact/hooks';
import { useApp, useIsReplay, useMayRecord, useMaySteer, usePage } from '../app/app-context.ts';
import { usePreference } from '../app/preferences.ts';
import { HandPanel, JockeyHand } from '../hand/hand-panel.tsx';
import { PlaybackBar, SpeedChoice } from '../playback/playback-bar.tsx';
import { LengthPlotView, TimePlotView, type WindowChoice } from '../plots/plot-views.tsx';
import { useTexts } from '../texts/texts.ts';
import { AboutForm, AmmeterForm } from './about-form.tsx';
import { BenchLabels } from './bench-labels.tsx';
import { Cautions, CautionsAgain } from './cautions.tsx';
import { Findings } from './findings.tsx';
import { History } from './history.tsx';
import { KeyList, useKeys } from './keys.tsx';
import { NullList, type OpenForm } from './null-list.tsx';
import { Observations } from './observations.tsx';
import { byEye, Figures, InSight } from './readout.tsx';
import { ResultLine } from './result-line.tsx';
import { RoomLine } from './room-line.tsx';
import { TypedLength } from './typed-length.tsx';
import { WireDrawing } from './wire-drawing.tsx';

export function RunPage() {
  const { store } = useApp();
  const mayRecord = useMayRecord();
  const isReplay = useIsReplay();
  const [open, setOpen] = useState<OpenForm | null>(null);
  const [typing, setTyping] = useState(false);
  const [keys, setKeys] = usePreference('keys', 'on', ['on', 'off']);
  useKeys(keys === 'on', mayRecord, {
    typeLength: () => setTyping(true),
    rejectNewest: () => {
      const newest = store.state.view?.nulls.findLast((found) => found.rejected === null);
      if (newest !== undefined) setOpen({ id: newest.id, form: 'reject' });
    },
  });
  const empty = usePage((state) => state.connection === 'open' && state.sessions.length === 0);
  return (
    <>
      <PlaybackBar />
      {!isReplay && (
        <>
          <Cautions />
          <AboutForm at="top" />
        </>
      )}
      <RoomLine />
      <InSight />
      {!empty && (
        <>
          <div class="bench-top">
            <div class="bench-plots">
              <AlongPlot />
              <TimePanel />
            </div>
            <div class="bench-side">
              <Figures />
              <WireDrawing />
              <HandPanel />
              <BenchLabels />
              <AmmeterForm />
              <TypedLength open={typing} setOpen={setTyping} />
            </div>
          </div>
          <div class="bench-below">
            <div>
              <Observations />
              <ResultLine />
              <Findings />
              <AboutForm at="tables" />
              <History />
              <CautionsAgain />
              <KeyList on={keys === 'on'} setOn={(on) => setKeys(on ? 'on' : 'off')} />
            </div>
            <NullList open={open} setOpen={setOpen} />
          </div>
          <JockeyHand />
        </>
      )}
    </>
  );
}

const CHOICES: WindowChoice[] = ['follow', 'near', 'whole'];

function AlongPlot() {
  const texts = useTexts();
  const [choice, setChoice] = useState<WindowChoice>('follow');
  const noPosition = usePage((state) => state.view !== null && byEye(state.view));
  if (noPosition) return null;
  return (
    <section class="panel plot-panel">
      <header class="plot-head">
        <h2>{texts.plots.along}</h2>
        <fieldset class="choices">
          <legend class="visually-hidden">{texts.plots.window}</legend>
          {CHOICES.map((one) => (
            <button key={one} type="button" aria-pressed={choice === one} onClick={() => setChoice(one)}>
              {texts.plots[one]}
            </button>
          ))}
        </fieldset>
      </header>
      <LengthPlotView choice={choice} />
    </section>
  );
}

function TimePanel() {
  const texts = useTexts();
  const maySteer = useMaySteer();
  const speed = usePage((state) => state.view?.speed ?? null);
  return (
    <section class="panel plot-panel">
      <header class="plot-head">
        <h2>{texts.plots.time}</h2>
        {maySteer && speed !== null && <SpeedChoice speed={speed} />}
      </header>
      <TimePlotView />
    </section>
  );
}
