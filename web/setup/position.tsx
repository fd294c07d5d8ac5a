import { useEffect, useState } from 'preact/hooks';
import { fixed, significant } from '../../bridge/calc-core/rounding.ts';
import type { CalibrationFit, CalibrationPoint } from '../../bridge/serve/page-protocol.ts';
import { useApp } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { typedNumber } from '../run/typed-length.tsx';
import { useTexts } from '../texts/texts.ts';
import { at } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';
import { GroupTitle, NumberField } from './fields.tsx';
import { KnownField } from './known-field.tsx';
import { type CountsSource, LiveCounts } from './source.tsx';

const pointsOf = (tools: DraftTools): CalibrationPoint[] => {
  const points = at(tools.draft, 'position.points');
  return Array.isArray(points) ? points : [];
};

/** Position calibration: hold the jockey at marks of the scale, one after the other, and see how straight it is. */
export function Position({ tools, source }: { tools: DraftTools; source: CountsSource }) {
  const texts = useTexts();
  const points = pointsOf(tools);
  const fit = useFit(points);
  const keep = (next: CalibrationPoint[]) =>
    tools.set('position', next.length === 0 ? undefined : { ...positionOf(tools), points: next });
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.position}</h2>
      <p class="quiet">{texts.setup.positionHow}</p>
      <HoldAtMark source={source} add={(point) => keep(withPoint(points, point))} />
      {points.length > 0 && (
        <PointTable
          points={points}
          fit={fit}
          remove={(index) => keep(points.filter((_, other) => other !== index))}
        />
      )}
      {fit !== null && <FitText fit={fit} />}
      <div class="fields">
        <GroupTitle.Provider value={texts.setup.position}>
          <NumberField
            tools={tools}
            path="position.standardUncertaintyCm"
            label={texts.setup.positionU}
            unit="cm"
          />
        </GroupTitle.Provider>
      </div>
      {points.length > 0 && (
        <KnownField
          tools={tools}
          title={texts.setup.reach}
          how={texts.setup.reachHow}
          parts={[{ path: 'position.correlationCm', label: texts.setup.reachLength, unit: 'cm' }]}
          note={null}
        />
      )}
    </section>
  );
}

/** A mark that is held again takes the place of what was held there before. */
const withPoint = (points: readonly CalibrationPoint[], point: CalibrationPoint): CalibrationPoint[] =>
  [...points.filter(({ scaleCm }) => scaleCm !== point.scaleCm), point].sort((a, b) => a.scaleCm - b.scaleCm);

function positionOf(tools: DraftTools): object {
  const position = at(tools.draft, 'position');
  return typeof position === 'object' && position !== null ? position : { standardUncertaintyCm: 0.05 };
}

/** The bridge fits; the page only shows. */
function useFit(points: CalibrationPoint[]): CalibrationFit | null {
  const [fit, setFit] = useState<CalibrationFit | null>(null);
  const key = JSON.stringify(points);
  useEffect(() => {
    let wanted = true;
    void postTo('fit', { points }).then((answer) => {
      if (wanted) setFit(answer.ok ? answer.fit : null);
    });
    return () => {
      wanted = false;
    };
  }, [key]);
  return fit;
}

function HoldAtMark({ source, add }: { source: CountsSource; add: (point: CalibrationPoint) => void }) {
  const texts = useTexts();
  const { store } = useApp();
  const ask = useAsk();
  const [mark, setMark] = useState('0');
  const [holding, setHolding] = useState(false);
  const scaleCm = typedNumber(mark);
  const hold = async (event: Event) => {
    event.preventDefault();
    setHolding(true);
    const answer = await ask(postTo('hold', { from: source.from }));
    setHolding(false);
    if (answer === null || scaleCm === null) return;
    const { pos, steady } = answer.held;
    if (pos === null) store.notify(texts.setup.noPosition);
    else if (!steady) store.notify(texts.setup.unsteady);
    else add({ counts: Math.round(pos.mean * 10) / 10, scaleCm });
  };
  return (
    <form class="fields" onSubmit={hold}>
      <label class="field">
        <span>{texts.setup.mark} / cm</span>
        <input inputMode="decimal" value={mark} onInput={(event) => setMark(event.currentTarget.value)} />
      </label>
      <button type="submit" class="main-action" disabled={holding || scaleCm === null || source.from === ''}>
        {holding ? texts.setup.holding : texts.setup.hold}
      </button>
      <LiveCounts source={source} channel="pos" />
    </form>
  );
}

function PointTable(props: {
  points: CalibrationPoint[];
  fit: CalibrationFit | null;
  remove: (index: number) => void;
}) {
  const texts = useTexts();
  return (
    <table class="point-table" data-testid="points">
      <thead>
        <tr>
          <th scope="col">{texts.setup.mark} / cm</th>
          <th scope="col">{texts.setup.countsHeading}</th>
          <th scope="col">{texts.setup.residual} / mm</th>
          <th scope="col">
            <span class="visually-hidden">{texts.setup.remove}</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {props.points.map((point, index) => (
          <tr key={`${point.scaleCm} ${point.counts}`}>
            <th scope="row">{point.scaleCm}</th>
            <td>{point.counts}</td>
            <td>{fixed(residualMm(props.fit, index), 2)}</td>
            <td>
              <button
                type="button"
                aria-label={`${texts.setup.remove} ${point.scaleCm} cm`}
                onClick={() => props.remove(index)}
              >
                {texts.setup.remove}
              </button>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const residualMm = (fit: CalibrationFit | null, index: number): number | null => {
  const residual = fit?.residualsCm[index];
  return residual === undefined ? null : residual * 10;
};

function FitText({ fit }: { fit: CalibrationFit }) {
  const texts = useTexts();
  const spread = fit.standardDeviationCm;
  return (
    <>
      <p>
        {texts.setup.fit(
          significant(Math.abs(fit.cmPerCount) * 10, 3),
          spread === null ? null : fixed(spread * 10, 2),
        )}
      </p>
      {fit.trouble !== null && <p class="trouble">▲ {texts.localise(fit.trouble)}</p>}
    </>
  );
}
