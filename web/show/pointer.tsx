import { useEffect, useRef } from 'preact/hooks';
import { fixed } from '../../bridge/calc-core/rounding.ts';
import { useApp } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';

const WIDTH = 1000;
const MIDDLE = WIDTH / 2;
const REACH = 470;
/** Deflections below this are drawn straight, those above more and more pressed together. */
const KNEE_UA = 0.2;
export const MOST_UA = 200;

/** Where a deflection stands on the pointer's scale, -1 to 1: close to the null it is spread out. */
export function placeOf(currentUa: number): number {
  const bent = Math.asinh(currentUa / KNEE_UA) / Math.asinh(MOST_UA / KNEE_UA);
  return Math.max(-1, Math.min(1, bent));
}

const MARKS = [-100, -10, -1, 0, 1, 10, 100];

/** A needle that stands in the middle at the null. Moves with every picture. */
export function Pointer() {
  const { store } = useApp();
  const texts = useTexts();
  const needle = useRef<SVGGElement>(null);
  useEffect(() => {
    const follow = () => {
      const now = store.state.now;
      const mark = needle.current;
      if (mark === null) return;
      const known = now?.currentUa ?? null;
      mark.style.visibility = known === null ? 'hidden' : 'visible';
      mark.classList.toggle('lifted', now?.contact === false);
      mark.setAttribute('transform', `translate(${(MIDDLE + REACH * placeOf(known ?? 0)).toFixed(1)} 0)`);
    };
    follow();
    return store.subscribe(follow);
  }, [store]);
  return (
    <svg class="pointer" viewBox={`0 0 ${WIDTH} 120`} role="img" aria-label={texts.readout.deflection}>
      <line class="pointer-line" x1={MIDDLE - REACH} x2={MIDDLE + REACH} y1="74" y2="74" />
      {MARKS.map((mark) => (
        <g key={mark} class={mark === 0 ? 'pointer-mark pointer-zero' : 'pointer-mark'}>
          <line x1={MIDDLE + REACH * placeOf(mark)} x2={MIDDLE + REACH * placeOf(mark)} y1="66" y2="82" />
          <text x={MIDDLE + REACH * placeOf(mark)} y="108">
            {fixed(mark, 0)}
          </text>
        </g>
      ))}
      <text class="pointer-unit" x={WIDTH - 4} y="20">
        µA
      </text>
      <g ref={needle} class="pointer-needle">
        <path d="M0 80L-9 10H9Z" />
      </g>
    </svg>
  );
}
