import { useState } from 'preact/hooks';
import { LengthPlotView, TimePlotView, type WindowChoice } from '../plots/plot-views.tsx';
import { useTexts } from '../texts/texts.ts';
import { BenchLabels } from './bench-labels.tsx';
import { Findings } from './findings.tsx';
import { NextStepView } from './next-step.tsx';
import { NullList } from './null-list.tsx';
import { Observations } from './observations.tsx';
import { Readout } from './readout.tsx';
import { ResultLine } from './result-line.tsx';
import { WireDrawing } from './wire-drawing.tsx';

export function RunPage() {
  return (
    <>
      <NextStepView />
      <div class="bench-top">
        <div class="bench-plots">
          <AlongPlot />
          <TimePanel />
        </div>
        <div class="bench-side">
          <Readout />
          <WireDrawing />
          <BenchLabels />
        </div>
      </div>
      <div class="bench-below">
        <div>
          <Observations />
          <ResultLine />
          <Findings />
        </div>
        <NullList />
      </div>
    </>
  );
}

const CHOICES: WindowChoice[] = ['follow', 'near', 'whole'];

function AlongPlot() {
  const texts = useTexts();
  const [choice, setChoice] = useState<WindowChoice>('follow');
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
  return (
    <section class="panel plot-panel">
      <h2>{texts.plots.time}</h2>
      <TimePlotView />
    </section>
  );
}
