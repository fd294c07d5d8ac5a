import type { ComponentChildren } from 'preact';
import type { Bench } from '../../bench/bench-file.ts';
import type { RunView } from '../../run/view.ts';
import { cellsMeasured } from './cells-measured.ts';
import { ohmText } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';
import { voltsText } from './volts.ts';

/**
 * The circuit with this bench's values. A is drawn on the left, whichever end of the scale it lies at. Lines cross nowhere
 * on a board with an even number of rows; with an odd one the jockey's lead hops over the lead from B.
 */

const BOARD = { left: 330, right: 690, top: 150, bottom: 270 };
const JOCKEY_X = 600;

export function Circuit({ view, bench }: { view: RunView; bench: Bench }) {
  const { circuit } = useTexts();
  return (
    <svg class="circuit" viewBox="20 24 700 462" role="img" aria-label={circuit.label}>
      <Wire bench={bench} />
      <Driver bench={bench} />
      <JockeyLead bench={bench} />
      {view.work.procedure === 'emf-comparison' ? (
        <TwoCells bench={bench} />
      ) : (
        <LoadedCell view={view} bench={bench} />
      )}
      <GalvanometerBranch bench={bench} />
    </svg>
  );
}

const rowY = (bench: Bench, row: number): number =>
  bench.wire.rows === 1
    ? BOARD.bottom
    : BOARD.top + ((row - 1) * (BOARD.bottom - BOARD.top)) / (bench.wire.rows - 1);

const endsRight = (bench: Bench): boolean => bench.wire.rows % 2 === 1;

function Wire({ bench }: { bench: Bench }) {
  const { circuit } = useTexts();
  const { rows, rowLengthCm, resistanceOhm } = bench.wire;
  const turns = Array.from({ length: rows }, (_, index) => {
    const y = rowY(bench, index + 1);
    const [from, to] = index % 2 === 0 ? [BOARD.left, BOARD.right] : [BOARD.right, BOARD.left];
    return `${index === 0 ? 'M' : 'L'}${from} ${y}L${to} ${y}`;
  }).join('');
  const first = rowY(bench, 1);
  const bX = endsRight(bench) ? BOARD.right : BOARD.left;
  return (
    <g>
      <path class="resistance-wire" d={turns} />
      <Node x={BOARD.left} y={first} />
      <Node x={bX} y={BOARD.bottom} />
      <text x={BOARD.left + 8} y={first - 8} class="strong">
        A
      </text>
      <text x={endsRight(bench) ? bX + 8 : bX + 8} y={BOARD.bottom + 17} class="strong">
        B
      </text>
      <text x={(BOARD.left + BOARD.right) / 2} y={first - 22} text-anchor="middle">
        {fill(circuit.wire, { rows, rowCm: rowLengthCm, ohm: resistanceOhm })}
      </text>
    </g>
  );
}

function Driver({ bench }: { bench: Bench }) {
  const { circuit } = useTexts();
  const emf = bench.driver === undefined ? '' : ` = ${bench.driver.emfV} V`;
  const least = bench.ammeter?.leastCountMa;
  const top = rowY(bench, 1);
  const fromB = endsRight(bench)
    ? `M${BOARD.right} ${BOARD.bottom}V330H300`
    : `M${BOARD.left} ${BOARD.bottom}H300V330`;
  return (
    <g>
      <path
        class="lead"
        d={`M${BOARD.left} ${top}H300V90H206M194 90H90V196M90 224V330H170M230 330H300${fromB}`}
      />
      <Cell x={200} y={90} positive="right" />
      <text x={200} y={66} text-anchor="middle">
        {circuit.driver}
        {emf}
      </text>
      <Switch x={260} y={90} name={circuit.key} />
      <circle class="symbol" cx={90} cy={210} r={14} />
      <text x={90} y={215} text-anchor="middle" class="strong">
        A
      </text>
      <text x={112} y={207}>
        {circuit.ammeter}
      </text>
      {least === undefined ? null : (
        <text x={112} y={222}>
          {fill(circuit.leastCount, { step: least })}
        </text>
      )}
      <Resistor x={200} y={330} />
      <path class="arrow" d="M178 352L222 308m-9 2l9 -2l-2 9" />
      <text x={200} y={300} text-anchor="middle">
        {circuit.rheostat}
      </text>
    </g>
  );
}

const CELLS = { left: 40, right: 270, upper: 390, lower: 450, middle: 420 };

/** From A round the driver's circuit to the positive terminals. */
const fromA = (bench: Bench): string => `M${BOARD.left} ${rowY(bench, 1)}V40H${CELLS.left}V${CELLS.upper}`;

function cellText({ circuit, cellNamed }: RecordTexts, bench: Bench, cell: '1' | '2'): string {
  const known = bench.cells?.[cell];
  const label = known?.label ?? fill(cellNamed, { cell });
  if (known?.reference !== undefined) return fill(circuit.reference, { cell: label });
  if (known?.voltmeterV === undefined) return label;
  return fill(circuit.byVoltmeter, { cell: label, volts: voltsText(bench, known.voltmeterV) });
}

function TwoCells({ bench }: { bench: Bench }) {
  const texts = useTexts();
  const { left, right, upper, lower, middle } = CELLS;
  return (
    <g>
      <path
        class="lead"
        d={`${fromA(bench)}V${lower}H124M136 ${lower}H${right}M${left} ${upper}H124M136 ${upper}H${right}`}
      />
      <Node x={left} y={upper} />
      <Cell x={130} y={upper} positive="left" />
      <Cell x={130} y={lower} positive="left" />
      <Name x={52} y={upper - 22} symbol="E" index="1" rest={`: ${cellText(texts, bench, '1')}`} />
      <Name x={52} y={lower - 22} symbol="E" index="2" rest={`: ${cellText(texts, bench, '2')}`} />
      <Stud x={right} y={upper} />
      <Stud x={right} y={lower} />
      <Stud x={310} y={middle} />
      <path class="lead" d={`M310 ${middle}L${right + 3} ${upper + 3}`} />
      <text x={282} y={lower + 22} text-anchor="middle">
        {texts.circuit.twoWayKey}
      </text>
    </g>
  );
}

function LoadedCell({ view, bench }: { view: RunView; bench: Bench }) {
  const texts = useTexts();
  const { left, right, upper, lower, middle } = CELLS;
  const loads = [...new Set(view.nulls.map((found) => found.loadOhm).filter((ohm) => ohm !== null))];
  const [cell] = cellsMeasured(view);
  return (
    <g>
      <path
        class="lead"
        d={`${fromA(bench)}V${lower}H70M130 ${lower}H${right}V${upper}M${left} ${upper}H124M136 ${upper}H310V${middle}`}
      />
      <Node x={left} y={upper} />
      <Node x={right} y={upper} />
      <Cell x={130} y={upper} positive="left" />
      <Name x={52} y={upper - 22} symbol="E" index={cell} rest={`: ${cellText(texts, bench, cell)}`} />
      <Resistor x={100} y={lower} />
      <text x={52} y={lower - 16}>
        {texts.circuit.load}
        {loads.length === 0 ? '' : ` = ${loads.join(', ')} Ω`}
      </text>
      <Switch x={205} y={lower} name={texts.circuit.loadKey} />
    </g>
  );
}

function GalvanometerBranch({ bench }: { bench: Bench }) {
  const { circuit } = useTexts();
  const { middle } = CELLS;
  const protective = bench.protectiveResistanceOhm;
  return (
    <g>
      <path class="lead" d={`M310 ${middle}H360M420 ${middle}H511M539 ${middle}H${JOCKEY_X}`} />
      <Resistor x={390} y={middle} />
      <path class="lead" d={`M345 ${middle}V455H372M408 455H435V${middle}`} />
      <Node x={345} y={middle} />
      <Node x={435} y={middle} />
      <path class="lead" d="M372 455L405 444" />
      <Stud x={372} y={455} />
      <Stud x={408} y={455} />
      <text x={390} y={middle - 16} text-anchor="middle">
        {circuit.protective}
        {protective === undefined ? '' : `, ${ohmText(protective)}`}
      </text>
      <text x={405} y={474} text-anchor="middle">
        {circuit.protectiveKey}
      </text>
      <circle class="symbol" cx={525} cy={middle} r={14} />
      <text x={525} y={middle + 5} text-anchor="middle" class="strong">
        G
      </text>
      <text x={525} y={middle + 34} text-anchor="middle">
        {fill(circuit.galvanometer, { ohm: bench.galvanometer.resistanceOhm })}
      </text>
    </g>
  );
}

function JockeyLead({ bench }: { bench: Bench }) {
  const { circuit } = useTexts();
  const hop = endsRight(bench) ? 'V336a6 6 0 0 1 0 -12' : '';
  return (
    <g>
      <path class="lead" d={`M${JOCKEY_X} ${CELLS.middle}${hop}V${BOARD.bottom + 10}`} />
      <path class="jockey" d={`M${JOCKEY_X} ${BOARD.bottom + 1}l-6 14h12z`} />
      <text x={JOCKEY_X + 12} y={BOARD.bottom + 22}>
        {circuit.jockey}
      </text>
    </g>
  );
}

const Node = ({ x, y }: { x: number; y: number }) => <circle class="node" cx={x} cy={y} r={3.2} />;
const Stud = ({ x, y }: { x: number; y: number }) => <circle class="symbol" cx={x} cy={y} r={3.5} />;

/** The long thin line is the positive terminal. */
function Cell({ x, y, positive }: { x: number; y: number; positive: 'left' | 'right' }) {
  const side = positive === 'left' ? -6 : 6;
  return (
    <g>
      <line class="plate" x1={x + side} x2={x + side} y1={y - 14} y2={y + 14} />
      <line class="plate thick" x1={x - side} x2={x - side} y1={y - 7} y2={y + 7} />
      <text x={x + 2.4 * side} y={y - 6} text-anchor="middle">
        +
      </text>
    </g>
  );
}

const Resistor = ({ x, y }: { x: number; y: number }) => (
  <rect class="symbol" x={x - 30} y={y - 9} width={60} height={18} />
);

function Switch({ x, y, name }: { x: number; y: number; name: string }) {
  return (
    <g>
      <rect class="blank" x={x - 16} y={y - 3} width={32} height={6} />
      <path class="lead" d={`M${x - 16} ${y}L${x + 13} ${y - 11}`} />
      <Stud x={x - 16} y={y} />
      <Stud x={x + 16} y={y} />
      <text x={x} y={y + 20} text-anchor="middle">
        {name}
      </text>
    </g>
  );
}

function Name(props: { x: number; y: number; symbol: string; index: string; rest: ComponentChildren }) {
  return (
    <text x={props.x} y={props.y}>
      <tspan font-style="italic">{props.symbol}</tspan>
      <tspan dy="3" font-size="9">
        {props.index}
      </tspan>
      <tspan dy="-3">{props.rest}</tspan>
    </text>
  );
}
