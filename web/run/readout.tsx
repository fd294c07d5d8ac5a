import { fixed, roundTogether, withSign } from '../../bridge/calc-core/rounding.ts';
import type { NextStep, NullView, SessionView } from '../../bridge/serve/page-protocol.ts';
import { useIsReplay, useView } from '../app/app-context.ts';
import { useCalmNow } from '../app/calm.ts';
import { clock } from '../app/format.ts';
import { presentNull } from '../app/present-null.ts';
import { useTexts } from '../texts/texts.ts';
import { NextStepView } from './next-step.tsx';

/** Seconds of current in the wire after which it says to open the key. */
const LONG_CURRENT_S = 120;

/** The board has no position channel: places are read by eye, and nothing is drawn along the wire by itself. */
export const byEye = (view: SessionView): boolean =>
  view.board !== null && !view.board.channels.includes('pos');

/** What to do next, the balancing length and where to move the jockey: in sight wherever the page is scrolled to. */
export function InSight() {
  const view = useView();
  const isReplay = useIsReplay();
  return (
    <div class="in-sight">
      {!isReplay && <NextStepView />}
      {view !== null && (
        <div class="readout">
          <BalancingLength view={view} />
          {!isReplay && <Guidance view={view} />}
        </div>
      )}
    </div>
  );
}

function BalancingLength({ view }: { view: SessionView }) {
  const texts = useTexts();
  const found = presentNull(view);
  if (found === null) {
    return (
      <div class="figure">
        <h2 class="figure-label">{texts.readout.balancingLength}</h2>
        <p class="figure-value figure-none">{texts.readout.none}</p>
      </div>
    );
  }
  const shown = roundTogether(found.lengthCm ?? found.scaleCm, found.uCm);
  return (
    <div class={`figure cell-${found.cell ?? 0}`}>
      <h2 class="figure-label">
        {found.lengthCm === null ? texts.readout.onScale : texts.readout.balancingLength}
      </h2>
      <p class="figure-value" data-testid="balancing-length">
        <span class="figure-number">{shown.value}</span>
        <span class="figure-u">± {shown.uncertainty} cm</span>
      </p>
      <p class="figure-note">
        <CellMark cell={found.cell} /> {texts.readout.ofNull(found.id, cellText(texts, found.cell))}
        {found.load && ` · ${loadText(texts, found)}`}
        {found.fine ? '' : ` · ${texts.readout.coarse}`}
        {' · '}
        {texts.readout.rowAndScale(
          String(found.row ?? '–'),
          `${roundTogether(found.scaleCm, found.uCm).value} cm`,
        )}
      </p>
    </div>
  );
}

type TextsInUse = ReturnType<typeof useTexts>;

export function cellText(texts: TextsInUse, cell: number | null): string {
  if (cell === null || cell === 0) return texts.labels.noCell;
  return cell === 3 ? texts.labels.bothCells : texts.labels.cellName(cell);
}

/** Empty where the cell was on open circuit. */
export const loadText = (texts: TextsInUse, { load, loadOhm }: NullView): string =>
  load ? `${texts.labels.load} ${loadOhm ?? '?'} Ω` : '';

/** The cell's own shape, as in the plots: disc for 1, diamond for 2. */
export function CellMark({ cell }: { cell: number | null }) {
  if (cell !== 1 && cell !== 2) return null;
  return (
    <svg class={`cell-mark cell-${cell}`} viewBox="0 0 12 12" aria-hidden="true">
      {cell === 1 ? <circle cx="6" cy="6" r="4.5" /> : <path d="M6 0.5 11.5 6 6 11.5 0.5 6Z" />}
    </svg>
  );
}

/** Steps at which the jockey is to go where the null is expected. */
const TO_THE_NULL: NextStep['do'][] = [
  'hunt',
  'hunt-by-eye',
  'protect-out',
  'sweep',
  'tap-beside',
  'type-length',
  'finish',
];

function Guidance({ view }: { view: SessionView }) {
  const texts = useTexts();
  const guide = view.guidance;
  const now = useCalmNow();
  if (guide === null || !TO_THE_NULL.includes(view.next.do)) return null;
  // From the newest reading, which comes more often than the guidance itself.
  const moveCm = now?.lengthCm == null ? guide.moveCm : guide.lengthCm - now.lengthCm;
  const place = texts.readout.rowAndScale(String(guide.row), `${fixed(guide.scaleCm, 1)} cm`);
  return (
    <div class="guide">
      <h3>{texts.readout.move}</h3>
      {moveCm !== null && (
        <p class="guide-move" data-testid="move">
          <MoveArrow moveCm={moveCm} />
          {texts.readout.moveBy(`${fixed(Math.abs(moveCm), 1)} cm`, moveCm < 0 ? 'A' : 'B')}
        </p>
      )}
      <p>{place}</p>
      <p class="quiet">
        {texts.readout.expected(`${fixed(guide.lengthCm, 1)} cm`, `${fixed(guide.withinCm, 1)} cm`)}
      </p>
    </div>
  );
}

const MoveArrow = ({ moveCm }: { moveCm: number }) => (
  <span class="move-arrow" aria-hidden="true">
    {moveCm < 0 ? '←' : '→'}
  </span>
);

export function Figures() {
  const view = useView();
  const texts = useTexts();
  const now = useCalmNow();
  if (view === null) return null;
  const isReplay = view.playback !== null;
  const found = presentNull(view);
  const wireS = view.wireCurrentS;
  return (
    <dl class="figures">
      <dt>{texts.readout.deflection}</dt>
      <dd class="tabular">
        {now?.saturated
          ? `${(now.currentUa ?? 0) < 0 ? '−' : '+'} ${texts.readout.saturated}`
          : `${now?.currentUa == null ? '–' : withSign(now.currentUa, 2)} µA`}
      </dd>
      {!byEye(view) && (
        <>
          <dt>{texts.readout.jockey}</dt>
          <dd class="tabular">
            {fixed(now?.lengthCm ?? now?.scaleCm, 1)} cm
            {now?.contact == null ? '' : ` · ${now.contact ? texts.readout.touching : texts.readout.lifted}`}
          </dd>
        </>
      )}
      <dt>{texts.readout.driver}</dt>
      <dd class="tabular">{fixed(now?.driverMa, 1)} mA</dd>
      {found?.sensitivityUaPerMm != null && (
        <>
          <dt>{texts.readout.sensitivity}</dt>
          <dd class="tabular">{fixed(Math.abs(found.sensitivityUaPerMm), 2)} µA/mm</dd>
          <dt>{texts.readout.smallest}</dt>
          <dd class="tabular">{fixed(10 * found.smallestLengthCm, 2)} mm</dd>
        </>
      )}
      {wireS !== null && (
        <>
          <dt>{texts.readout.wireTime}</dt>
          <dd class="tabular">
            {texts.readout.wireTimeText(clock(wireS.now), clock(wireS.total))}
            {!isReplay && wireS.now > LONG_CURRENT_S && (
              <strong class="aside">{texts.readout.openKey}</strong>
            )}
          </dd>
        </>
      )}
    </dl>
  );
}
