import { useLayoutEffect, useRef } from 'preact/hooks';
import { fixed, roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { Bench, NowView, NullView, SessionView } from '../../bridge/serve/page-protocol.ts';
import { useView } from '../app/app-context.ts';
import { useCalmNow } from '../app/calm.ts';
import { useTexts } from '../texts/texts.ts';

const ROW_GAP = 13;
const LEFT = 36;
const WIDTH = 270;
const TOP = 16;

type Wire = Bench['wire'];

const xOf = (wire: Wire, scaleCm: number): number => LEFT + (scaleCm / wire.rowLengthCm) * WIDTH;
const yOf = (row: number): number => TOP + (row - 1) * ROW_GAP;

/** The board with its rows as it lies on the bench: metre scale left to right, nulls and jockey where they are. */
export function WireDrawing() {
  const view = useView();
  const texts = useTexts();
  const wire = view?.bench?.wire;
  if (view === null || wire === undefined) return null;
  const height = yOf(wire.rows) + 26;
  const nulls = view.nulls.filter((found) => found.row !== null && found.rejected === null);
  const listed = nulls.map((found) => `${found.id} ${fixed(found.lengthCm, 1)} cm`).join(', ');
  const label = texts.board.describe(wire.rows, '–', listed === '' ? texts.plots.noNulls : listed);
  return (
    <figure class="wire-drawing">
      <svg viewBox={`0 0 ${LEFT + WIDTH + 20} ${height}`} role="img" aria-label={label}>
        <WirePath wire={wire} />
        <Expected view={view} wire={wire} />
        {nulls.map((found) => (
          <NullTick key={found.id} found={found} wire={wire} />
        ))}
        <Jockey wire={wire} row={view.labels.row.value} />
        <Scale wire={wire} y={height - 4} />
      </svg>
    </figure>
  );
}

function WirePath({ wire }: { wire: Wire }) {
  const rows = Array.from({ length: wire.rows }, (_, index) => index + 1);
  const startsLeft = wire.zeroEnd === 'left';
  const left = xOf(wire, 0);
  const right = xOf(wire, wire.rowLengthCm);
  return (
    <g class="wire-path">
      {rows.map((row) => (
        <g key={row}>
          <line x1={left} x2={right} y1={yOf(row)} y2={yOf(row)} />
          <text x={8} y={yOf(row) + 3.5}>
            {row}
          </text>
          {row < wire.rows && <Strip x={(row % 2 === 1) === startsLeft ? right : left} row={row} />}
        </g>
      ))}
      <text class="wire-end" x={startsLeft ? left - 14 : right + 5} y={yOf(1) + 4}>
        A
      </text>
      <text class="wire-end" x={endsLeft(wire) ? left - 14 : right + 5} y={yOf(wire.rows) + 4}>
        B
      </text>
    </g>
  );
}

const endsLeft = (wire: Wire): boolean => (wire.rows % 2 === 1) === (wire.zeroEnd === 'right');

const Strip = ({ x, row }: { x: number; row: number }) => (
  <line class="wire-strip" x1={x} x2={x} y1={yOf(row)} y2={yOf(row + 1)} />
);

function Expected({ view, wire }: { view: SessionView; wire: Wire }) {
  const guide = view.guidance;
  const texts = useTexts();
  if (guide === null) return null;
  const half = Math.max(3, (guide.withinCm / wire.rowLengthCm) * WIDTH);
  const x = xOf(wire, guide.scaleCm);
  const from = Math.max(LEFT - 3, x - half);
  const to = Math.min(LEFT + WIDTH + 3, x + half);
  return (
    <rect class="wire-expected" x={from} width={to - from} y={yOf(guide.row) - 6} height={12} rx={6}>
      <title>{texts.board.expected}</title>
    </rect>
  );
}

function NullTick({ found, wire }: { found: NullView; wire: Wire }) {
  const x = xOf(wire, found.scaleCm);
  const y = yOf(found.row ?? 1);
  const shape =
    found.cell === 2 ? `M${x} ${y - 5}l5 5l-5 5l-5 -5z` : `M${x - 4} ${y}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0z`;
  return (
    <path class={`wire-null cell-${found.cell ?? 0} ${found.used ? '' : 'unused'}`} d={shape}>
      <title>{`${found.id}: ${roundTogether(found.lengthCm, found.uCm).value} cm`}</title>
    </path>
  );
}

/** At the pace of the figures: on ten rows a finer step would not be seen. */
function Jockey({ wire, row }: { wire: Wire; row: number | null }) {
  const mark = useRef<SVGGElement>(null);
  const now = useCalmNow();
  useLayoutEffect(() => placeJockey(mark.current, wire, row, now));
  return (
    <g class="wire-jockey" ref={mark}>
      <path d="M0 -2l6 -9h-12z" />
    </g>
  );
}

function placeJockey(mark: SVGGElement | null, wire: Wire, row: number | null, now: NowView | null): void {
  if (mark === null) return;
  const known = now !== null && now.scaleCm !== null && row !== null;
  mark.style.display = known ? '' : 'none';
  if (!known) return;
  mark.classList.toggle('touching', now.contact !== false);
  const lift = now.contact === false ? 3 : 0;
  mark.setAttribute('transform', `translate(${xOf(wire, now.scaleCm ?? 0)} ${yOf(row) - lift})`);
}

function Scale({ wire, y }: { wire: Wire; y: number }) {
  const marks = [0, 0.25, 0.5, 0.75, 1].map((part) => part * wire.rowLengthCm);
  return (
    <g class="wire-scale">
      {marks.map((scaleCm) => (
        <text key={scaleCm} x={xOf(wire, scaleCm)} y={y}>
          {scaleCm}
        </text>
      ))}
    </g>
  );
}
