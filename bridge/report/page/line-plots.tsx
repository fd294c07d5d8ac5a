import type { ComponentChildren } from 'preact';
import type { Outcome } from '../../calc-core/outcome.ts';
import { roundTogether } from '../../calc-core/rounding.ts';
import type { ComparisonWork, ResistanceWork, RunView } from '../../run/view.ts';
import { estimatesOf } from './estimates.ts';
import { PlusMinus, Section, Sym } from './figures.tsx';
import { Plot, Point, SvgSymbol } from './plot.tsx';

/** The sets against the line that the result stands for, and what is left of them beside it. */

interface SetPoint {
  name: string;
  x: number;
  y: number;
  ux: number;
  uy: number;
  /** Of the distance from the line. */
  uOff: number;
}

interface Straight {
  slope: number;
  intercept: number;
}

export function LinePlots({ view: { work } }: { view: RunView }) {
  const result = work.outcome?.result ?? null;
  if (result === null) return null;
  if (work.procedure === 'emf-comparison') return <ComparisonPlots work={work} result={result} />;
  return <LoadPlots work={work} result={result} />;
}

function ComparisonPlots({ work, result }: { work: ComparisonWork; result: Outcome }) {
  const correction = work.outcome?.endCorrectionCm ?? null;
  const alpha = correction?.value ?? 0;
  const line = { slope: result.value, intercept: alpha * (result.value - 1) };
  const estimates = estimatesOf(result);
  const points = work.sets.flatMap(({ set, ratio, u1Cm, u2Cm, uRatio, l2Cm }): SetPoint[] => {
    if (ratio === null || u1Cm === null || u2Cm === null || uRatio === null || l2Cm === null) return [];
    const [y, x] = [estimates[`l_1_${set}`], estimates[`l_2_${set}`]];
    return [{ name: `${set}`, x, y, ux: u2Cm, uy: u1Cm, uOff: uRatio * l2Cm }];
  });
  return (
    <Section title="Plot of the balancing lengths">
      <p class="small">
        <Sym name="l_1" /> against <Sym name="l_2" />, with the line <Sym name="l_1" /> = (<Sym name="E_1" />/
        <Sym name="E_2" />) <Sym name="l_2" /> + α (<Sym name="E_1" />/<Sym name="E_2" /> − 1), α ={' '}
        {roundTogether(alpha, correction?.u ?? null).value} cm. The second plot shows how far each set lies
        off the line; its bars are one standard uncertainty of a single set, what all sets share included.
      </p>
      <Pair
        points={points}
        line={line}
        xTitle={<Length index="2" />}
        yTitle={<Length index="1" />}
        offTitle="off the line / mm"
        offFactor={10}
      />
    </Section>
  );
}

function LoadPlots(props: { work: ResistanceWork; result: Outcome }) {
  const polarisation = props.work.outcome?.polarisation ?? null;
  return (
    <>
      <LoadLinePlots {...props} />
      {polarisation === null ? null : (
        <p>
          Polarisation: the open cell's EMF, as <Sym name="l_0" /> times the driver current, changed by{' '}
          <PlusMinus value={100 * polarisation.perSet} uncertainty={100 * polarisation.uPerSet} /> % from set
          to set (standard uncertainty). A cell that is worked hard polarises, and its EMF falls.
        </p>
      )}
    </>
  );
}

function LoadLinePlots({ work, result }: { work: ResistanceWork; result: Outcome }) {
  const line = work.outcome?.line ?? null;
  if (line === null) return <OneLoadPlots work={work} result={result} />;
  const points = line.points.map((point) => ({
    name: `${point.set}`,
    x: point.perOhm,
    y: point.excess,
    ux: point.uPerOhm,
    uy: point.uExcess,
    uOff: point.uExcess,
  }));
  return (
    <Section title="Plot of the loads">
      <p class="small">
        <Sym name="l_0" />/<Sym name="l" /> − 1 against 1/<i>R</i>, with the line fitted to both. Its slope is{' '}
        <PlusMinus value={line.slopeOhm} uncertainty={line.uSlopeOhm} /> Ω and its intercept{' '}
        <PlusMinus value={line.intercept} uncertainty={line.uIntercept} /> (standard uncertainties, without
        what all sets share). The method holds where it passes through the origin.
      </p>
      <Pair
        points={points}
        line={{ slope: line.slopeOhm, intercept: line.intercept }}
        xTitle={
          <>
            1/
            <SvgSymbol letter="R" /> / Ω⁻¹
          </>
        }
        yTitle={
          <>
            <SvgSymbol letter="l" index="0" />/<SvgSymbol letter="l" /> − 1
          </>
        }
        fromOrigin
        offTitle="off the line / 10⁻³"
        offFactor={1000}
      />
    </Section>
  );
}

/** One load only: nothing tests the law, but the sets still test each other. */
function OneLoadPlots({ work, result }: { work: ResistanceWork; result: Outcome }) {
  const sets = work.sets.filter((set) => set.rOhm !== null);
  const loadOhm = sets[0]?.loadOhm;
  if (loadOhm === null || loadOhm === undefined) return null;
  const share = result.value / loadOhm;
  const alpha = work.outcome?.endCorrectionCm?.value ?? 0;
  const points = sets.flatMap(({ set, l0Cm, u0Cm, lCm, uCm, uROhm }): SetPoint[] => {
    if (l0Cm === null || u0Cm === null || lCm === null || uCm === null || uROhm === null) return [];
    return [{ name: `${set}`, x: lCm, y: l0Cm, ux: uCm, uy: u0Cm, uOff: (uROhm / loadOhm) * lCm }];
  });
  return (
    <Section title="Plot of the balancing lengths">
      <p class="small">
        <Sym name="l_0" /> against <i>l</i>, with the line <Sym name="l_0" /> = (1 + <i>r</i>/<i>R</i>){' '}
        <i>l</i> + α <i>r</i>/<i>R</i>, <i>R</i> = {loadOhm} Ω. With one load only the line <Sym name="l_0" />
        /<i>l</i> − 1 against 1/
        <i>R</i> cannot be drawn.
      </p>
      <Pair
        points={points}
        line={{ slope: 1 + share, intercept: alpha * share }}
        xTitle={<Length />}
        yTitle={<Length index="0" />}
        offTitle="off the line / mm"
        offFactor={10}
      />
    </Section>
  );
}

const Length = ({ index }: { index?: string }) => (
  <>
    <SvgSymbol letter="l" index={index} /> / cm
  </>
);

interface PairProps {
  /** The line is drawn from the origin on. */
  fromOrigin?: boolean;
  points: SetPoint[];
  line: Straight;
  xTitle: ComponentChildren;
  yTitle: ComponentChildren;
  offTitle: string;
  offFactor: number;
}

const SIZE = { width: 360, height: 230 };

function Pair(props: PairProps) {
  return (
    <div class="pair">
      <WithLine {...props} />
      <OffTheLine {...props} />
    </div>
  );
}

const onLine = ({ slope, intercept }: Straight, x: number): number => slope * x + intercept;

const xsOf = ({ points, fromOrigin }: PairProps): number[] => [
  ...points.map((point) => point.x),
  ...(fromOrigin ? [0] : []),
];

function WithLine(props: PairProps) {
  const { fromOrigin, points, line, xTitle, yTitle } = props;
  const xs = xsOf(props);
  const [from, to] = [Math.min(...xs), Math.max(...xs)].map((x) => ({ x, y: onLine(line, x) }));
  const ys = [...points.map((point) => point.y), from.y, to.y, ...(fromOrigin ? [0] : [])];
  return (
    <Plot
      title="the sets with the fitted line"
      {...{ xTitle, yTitle, xs, ys, ...SIZE }}
      draw={({ x, y }) => (
        <>
          <line class="fitted" x1={x(from.x)} y1={y(from.y)} x2={x(to.x)} y2={y(to.y)} />
          {points.map((point) => (
            <Point {...point} scale={{ x, y }} />
          ))}
        </>
      )}
    />
  );
}

function OffTheLine(props: PairProps) {
  const { points, line, xTitle, offTitle, offFactor } = props;
  const off = points.map(({ name, x, y, uOff }) => ({
    name,
    x,
    y: offFactor * (y - onLine(line, x)),
    uy: offFactor * uOff,
  }));
  const ys = [0, ...off.flatMap(({ y, uy }) => [y - uy, y + uy])];
  return (
    <Plot
      title="distance of each set from the line"
      {...{ xTitle, yTitle: offTitle, xs: xsOf(props), ys, ...SIZE }}
      draw={(scale, frame) => (
        <>
          <line class="fitted" x1={frame.left} x2={frame.right} y1={scale.y(0)} y2={scale.y(0)} />
          {off.map((point) => (
            <Point {...point} scale={scale} />
          ))}
        </>
      )}
    />
  );
}
