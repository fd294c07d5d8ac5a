import { plusMinus } from '../../bridge/calc-core/rounding.ts';
import type { NullView } from '../../bridge/serve/page-protocol.ts';
import { useTexts } from '../texts/texts.ts';

const WIDTH = 168;
const HEIGHT = 84;
const PAD = 6;

/** What a null was found from: readings, fit, and the interval of its length. */
export function NullPicture({ found }: { found: NullView }) {
  const texts = useTexts();
  const picture = found.picture;
  if (picture === null || picture.fromNullCm.length === 0) {
    return <div class="null-picture null-picture-none quiet">{texts.nulls.by[found.by]}</div>;
  }
  const at = found.lengthCm ?? found.scaleCm;
  const readingsCm = picture.fromNullCm.map((cm) => at + cm);
  const fitCm = picture.fitFromNullCm.map((cm) => at + cm);
  const xs = [...readingsCm, ...fitCm];
  const ys = [...picture.currentUa, ...picture.fitCurrentUa, 0];
  const x = scaler(Math.min(...xs), Math.max(...xs), PAD, WIDTH - PAD);
  const y = scaler(Math.min(...ys), Math.max(...ys), HEIGHT - PAD, PAD);
  const fit = fitCm.map((length, index) => `${x(length)},${y(picture.fitCurrentUa[index])}`);
  const label = `${texts.nulls.picture} ${found.id}: ${plusMinus(at, found.uReadCm, 'cm')} ${texts.nulls.fromReadings}`;
  return (
    <svg class="null-picture" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={label}>
      <rect
        class="null-interval"
        x={x(at - 2 * found.uCm)}
        width={Math.max(1, x(at + 2 * found.uCm) - x(at - 2 * found.uCm))}
        y={0}
        height={HEIGHT}
      />
      <line class="null-zero" x1={0} x2={WIDTH} y1={y(0)} y2={y(0)} />
      {readingsCm.map((length, index) => (
        <circle key={index} class="null-reading" cx={x(length)} cy={y(picture.currentUa[index])} r={1.6} />
      ))}
      <polyline class="null-fit" points={fit.join(' ')} />
      <line class="null-post" x1={x(at)} x2={x(at)} y1={0} y2={HEIGHT} />
    </svg>
  );
}

const scaler =
  (from: number, to: number, start: number, end: number) =>
  (value: number): number =>
    Number((start + ((value - from) / (to - from || 1)) * (end - start)).toFixed(2));
