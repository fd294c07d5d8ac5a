import type { ComponentChildren } from 'preact';
import type { Outcome } from '../../calc-core/outcome.ts';
import { roundTogether } from '../../calc-core/rounding.ts';
import type { ComparisonWork, ResistanceWork, RunView } from '../../run/view.ts';
import { estimatesOf } from './estimates.ts';
import { PlusMinus, Section } from './figures.tsx';
import { useTexts } from './language.tsx';
import { Plot, Point, SvgSymbol } from './plot.tsx';
import { Say } from './say.tsx';

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
  const { linePlots } = useTexts();
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
    <Section title={linePlots.lengths}>
      <p class="small">
        <Say text={linePlots.comparison} given={{ cm: roundTogether(alpha, correction?.u ?? null).value }} />
      </p>
      <Pair
        points={points}
        line={line}
        xTitle={<Length index="2" />}
        yTitle={<Length index="1" />}
        offTitle={linePlots.offMm}
        offFactor={10}
      />
    </Section>
  );
}

function LoadPlots(props: { work: ResistanceWork; result: Outcome }) {
  const { linePlots } = useTexts();
  const polarisation = props.work.outcome?.polarisation ?? null;
  return (
    <>
      <LoadLinePlots {...props} />
      {polarisation === null ? null : (
        <p>
          <Say
            text={linePlots.polarisation}
            given={{
              percent: (
                <PlusMinus value={100 * polarisation.perSet} uncertainty={100 * polarisation.uPerSet} />
              ),
            }}
          />
        </p>
      )}
    </>
  );
}

function LoadLinePlots({ work, result }: { work: ResistanceWork; result: Outcome }) {
  const { linePlots } = useTexts();
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
    <Section title={linePlots.loads}>
      <p class="small">
        <Say
          text={linePlots.resistance}
          given={{
            slope: <PlusMinus value={line.slopeOhm} uncertainty={line.uSlopeOhm} />,
            intercept: <PlusMinus value={line.intercept} uncertainty={line.uIntercept} />,
          }}
        />
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
        offTitle={linePlots.offThousandths}
        offFactor={1000}
      />
    </Section>
  );
}

/** One load only: nothing tests the law, but the sets still test each other. */
function OneLoadPlots({ work, result }: { work: ResistanceWork; result: Outcome }) {
  const { linePlots } = useTexts();
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
    <Section title={linePlots.lengths}>
      <p class="small">
        <Say text={linePlots.oneLoad} given={{ ohm: loadOhm }} />
      </p>
      <Pair
        points={points}
        line={{ slope: 1 + share, intercept: alpha * share }}
        xTitle={<Length />}
        yTitle={<Length index="0" />}
        offTitle={linePlots.offMm}
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
  const { linePlots } = useTexts();
  const { fromOrigin, points, line, xTitle, yTitle } = props;
  const xs = xsOf(props);
  const [from, to] = [Math.min(...xs), Math.max(...xs)].map((x) => ({ x, y: onLine(line, x) }));
  const ys = [...points.map((point) => point.y), from.y, to.y, ...(fromOrigin ? [0] : [])];
  return (
    <Plot
      title={linePlots.withLine}
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
  const { linePlots } = useTexts();
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
      title={linePlots.offLine}
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
