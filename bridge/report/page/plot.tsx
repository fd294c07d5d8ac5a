import { extent, ticks } from 'd3-array';
import type { ComponentChildren } from 'preact';
import { fixed } from '../../calc-core/rounding.ts';

/** Small plots as SVG: axes, ticks, and a scale for whoever draws into them. */

export interface Scale {
  x(value: number): number;
  y(value: number): number;
}

export interface PlotProps {
  /** Read to those who can't see it. */
  title: string;
  xTitle: ComponentChildren;
  yTitle: ComponentChildren;
  xs: readonly number[];
  ys: readonly number[];
  width: number;
  height: number;
  /** How many ticks an axis gets, about. */
  ticks?: { x: number; y: number };
  draw(scale: Scale, frame: Frame): ComponentChildren;
}

export interface Frame {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

const MARGIN = { left: 46, right: 8, top: 8, bottom: 34 };

export function Plot(props: PlotProps) {
  const { width, height } = props;
  const frame = {
    left: MARGIN.left,
    right: width - MARGIN.right,
    top: MARGIN.top,
    bottom: height - MARGIN.bottom,
  };
  const [x0, x1] = padded(props.xs);
  const [y0, y1] = padded(props.ys);
  const scale: Scale = {
    x: (value) => at(frame.left + ((value - x0) / (x1 - x0)) * (frame.right - frame.left)),
    y: (value) => at(frame.bottom - ((value - y0) / (y1 - y0)) * (frame.bottom - frame.top)),
  };
  const count = props.ticks ?? { x: 6, y: 5 };
  return (
    <svg class="plot" viewBox={`0 0 ${width} ${height}`} role="img" aria-label={props.title}>
      <XAxis
        values={ticks(x0, x1, count.x)}
        scale={scale}
        frame={frame}
        title={props.xTitle}
        height={height}
      />
      <YAxis values={ticks(y0, y1, count.y)} scale={scale} frame={frame} title={props.yTitle} />
      {props.draw(scale, frame)}
    </svg>
  );
}

/** To a hundredth of a unit: finer can't be seen and only makes the file longer. */
const at = (place: number): number => Math.round(place * 100) / 100;

/** Values nearer to each other than that, as a share of their size, differ by rounding alone: no ticks would fit between them. */
const SAME = 1e-9;

function padded(values: readonly number[]): [number, number] {
  const [least, most] = extent(values.filter(Number.isFinite));
  if (least === undefined || most === undefined) return [0, 1];
  const size = Math.max(Math.abs(least), Math.abs(most));
  const room = most - least > SAME * size ? 0.06 * (most - least) : Math.max(1e-6, 0.01 * size);
  return [least - room, most + room];
}

interface AxisProps {
  values: number[];
  scale: Scale;
  frame: Frame;
  title: ComponentChildren;
}

/** As few decimals as tell the ticks apart. */
function label(value: number, values: number[]): string {
  const step = values.length > 1 ? values[1] - values[0] : 1;
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  return fixed(value, decimals);
}

function XAxis({ values, scale, frame, title, height }: AxisProps & { height: number }) {
  return (
    <g>
      {values.map((value) => (
        <g>
          <line class="grid" x1={scale.x(value)} x2={scale.x(value)} y1={frame.top} y2={frame.bottom} />
          <text x={scale.x(value)} y={frame.bottom + 12} text-anchor="middle">
            {label(value, values)}
          </text>
        </g>
      ))}
      <line class="axis" x1={frame.left} x2={frame.right} y1={frame.bottom} y2={frame.bottom} />
      <text x={(frame.left + frame.right) / 2} y={height - 6} text-anchor="middle">
        {title}
      </text>
    </g>
  );
}

function YAxis({ values, scale, frame, title }: AxisProps) {
  const middle = (frame.top + frame.bottom) / 2;
  return (
    <g>
      {values.map((value) => (
        <g>
          <line class="grid" x1={frame.left} x2={frame.right} y1={scale.y(value)} y2={scale.y(value)} />
          <text x={frame.left - 4} y={scale.y(value) + 3.5} text-anchor="end">
            {label(value, values)}
          </text>
        </g>
      ))}
      <line class="axis" x1={frame.left} x2={frame.left} y1={frame.top} y2={frame.bottom} />
      <text x={10} y={middle} text-anchor="middle" transform={`rotate(-90 10 ${middle})`}>
        {title}
      </text>
    </g>
  );
}

/** A symbol with a subscript inside a text of an SVG. */
export const SvgSymbol = ({ letter, index }: { letter: string; index?: string }) => (
  <>
    <tspan font-style="italic">{letter}</tspan>
    {index === undefined ? null : (
      <>
        <tspan dy="2.5" font-size="7.5">
          {index}
        </tspan>
        <tspan dy="-2.5">&#8203;</tspan>
      </>
    )}
  </>
);

/** Many small dots as one path: round ends make a dot of a line without length. */
/** So few dots, of taps message, are drawn larger, or they drown in the curve. */
const FEW = 25;

export function Dots({ xs, ys, scale }: { xs: readonly number[]; ys: readonly number[]; scale: Scale }) {
  // a stroke of no length at all is left out by some readers of PDF
  const path = xs.map((x, index) => `M${scale.x(x)} ${scale.y(ys[index])}h0.01`).join('');
  return <path class={xs.length < FEW ? 'dots few' : 'dots'} d={path} />;
}

export function Curve({ xs, ys, scale }: { xs: readonly number[]; ys: readonly number[]; scale: Scale }) {
  const points = xs.map((x, index) => `${scale.x(x)},${scale.y(ys[index])}`).join(' ');
  return <polyline class="fitted" points={points} />;
}

/** A point with bars of one standard uncertainty either way. */
export function Point(props: { x: number; y: number; ux?: number; uy?: number; scale: Scale; name: string }) {
  const { x, y, ux = 0, uy = 0, scale, name } = props;
  const [px, py] = [scale.x(x), scale.y(y)];
  return (
    <g>
      <path
        class="bar"
        d={`M${px} ${scale.y(y - uy)}V${scale.y(y + uy)}M${scale.x(x - ux)} ${py}H${scale.x(x + ux)}`}
      />
      <circle class="point" cx={px} cy={py} r={3} />
      <text x={px + 5} y={py - 5}>
        {name}
      </text>
    </g>
  );
}
