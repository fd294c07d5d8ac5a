import { resultText, roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { BoardGroup, ClassBoard } from '../../bridge/serve/page-protocol.ts';
import { useTexts } from '../texts/texts.ts';

/** What the class found: results with U as points on one axis, with the value of the class; nothing of it while it is hidden. */
export function ClassResults({ board }: { board: ClassBoard }) {
  const texts = useTexts();
  if (!board.shown)
    return board.results === 0 ? null : <p class="quiet">{texts.classBoard.resultsHidden(board.results)}</p>;
  return (
    <section class="board-results">
      {board.groups.map((group) => (
        <Group key={group.measurand.text} group={group} />
      ))}
      <p class="quiet">{texts.classBoard.reports}</p>
    </section>
  );
}

function Group({ group }: { group: BoardGroup }) {
  const texts = useTexts();
  const { centre, standardDeviation } = group;
  const spread = centre.robustStandardDeviation ?? standardDeviation;
  const value = spread ? roundTogether(centre.value, spread) : null;
  return (
    <figure class="panel">
      <figcaption>
        <h3>
          {texts.classBoard.found}: {texts.localise(group.measurand)}
        </h3>
        <p data-testid="class-value">
          {value === null
            ? texts.classBoard.oneResult
            : texts.classBoard.value(value.value, centre.by, value.uncertainty)}
        </p>
      </figcaption>
      <Axis group={group} />
      {group.remarks.map((remark) => (
        <p key={remark.text}>{texts.localise(remark)}</p>
      ))}
    </figure>
  );
}

const WIDTH = 900;
const ROW = 24;
const LEFT = 200;
const RIGHT = 190;
const PAD = 12;

function Axis({ group: { results, centre, unit } }: { group: BoardGroup }) {
  const texts = useTexts();
  const low = Math.min(...results.map(({ value, U }) => value - U));
  const high = Math.max(...results.map(({ value, U }) => value + U));
  const x = (value: number) => LEFT + ((value - low) / (high - low || 1)) * (WIDTH - LEFT - RIGHT);
  const height = results.length * ROW + 2 * PAD;
  const ordered = [...results].sort((one, other) => one.value - other.value);
  return (
    <svg class="class-axis" viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={texts.classBoard.axis}>
      <line class="class-centre" x1={x(centre.value)} x2={x(centre.value)} y1={0} y2={height} />
      {ordered.map(({ bench, station, value, U }, index) => {
        const y = PAD + (index + 0.5) * ROW;
        return (
          <g key={`${station} ${bench} ${value}`}>
            <text x={0} y={y + 5}>
              {bench}
            </text>
            <line x1={x(value - U)} x2={x(value + U)} y1={y} y2={y} />
            <circle cx={x(value)} cy={y} r={5} />
            <text x={WIDTH - RIGHT + 12} y={y + 5}>
              {resultText({ value, U, unit })}
            </text>
          </g>
        );
      })}
    </svg>
  );
}
