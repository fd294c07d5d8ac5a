import { useEffect, useRef } from 'preact/hooks';
import { fixed, withSign } from '../../bridge/calc-core/rounding.ts';
import type { NowView } from '../../bridge/serve/page-protocol.ts';
import { useApp } from '../app/app-context.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';

/** What a deflection is drawn on: all of it with small ones spread out, or straight up to so many microamperes. */
export const SCALES = ['bent', '100', '10', '1'] as const;
export type BandScale = (typeof SCALES)[number];

const WIDTH = 1000;
const MIDDLE = WIDTH / 2;
const REACH = 488;
/** On the bent scale, deflections below this are drawn straight, those above more and more pressed together. */
const KNEE_UA = 0.2;
export const MOST_UA = 200;

/** Where a deflection stands on the scale, −1 to 1. */
export function placeOf(currentUa: number, scale: BandScale = 'bent'): number {
  const part =
    scale === 'bent'
      ? Math.asinh(currentUa / KNEE_UA) / Math.asinh(MOST_UA / KNEE_UA)
      : currentUa / Number(scale);
  return Math.max(-1, Math.min(1, part));
}

const BENT_MARKS = [-100, -10, -1, 0, 1, 10, 100];
const STRAIGHT_MARKS = [-1, -0.5, 0, 0.5, 1];
const marksOf = (scale: BandScale): number[] =>
  scale === 'bent' ? BENT_MARKS : STRAIGHT_MARKS.map((part) => part * Number(scale));

/** What the band says of a reading: how far it reaches, and which side of the null the jockey is on. */
export function bandOf(now: NowView | null, scale: BandScale, texts: Texts): { part: number; words: string } {
  const { currentUa = null, contact = null, saturated = false } = now ?? {};
  // The noise of a lifted jockey is no deflection.
  if (contact === false) return { part: 0, words: texts.show.lifted };
  if (currentUa === null) return { part: 0, words: '–' };
  const part = saturated ? Math.sign(currentUa) : placeOf(currentUa, scale);
  const amount = saturated
    ? texts.show.beyondSpan
    : `${withSign(currentUa, Math.abs(currentUa) < 10 ? 2 : 0)} µA`;
  // A rightly connected cell drives current in the positive direction with the jockey at A.
  return { part, words: `${texts.show.towards(currentUa > 0 ? 'A' : 'B')} · ${amount}` };
}

/** A band that grows from the middle with the deflection, over the whole width. Moves with every picture. */
export function DeflectionBand({ scale }: { scale: BandScale }) {
  const { store } = useApp();
  const texts = useTexts();
  const band = useRef<SVGRectElement>(null);
  const words = useRef<HTMLParagraphElement>(null);
  useEffect(() => {
    const follow = () => {
      const { part, words: said } = bandOf(store.state.now, scale, texts);
      const width = Math.abs(part) * REACH;
      band.current?.setAttribute('x', (part < 0 ? MIDDLE - width : MIDDLE).toFixed(1));
      band.current?.setAttribute('width', width.toFixed(1));
      if (words.current !== null && words.current.textContent !== said) words.current.textContent = said;
    };
    follow();
    return store.subscribe(follow);
  }, [store, scale, texts]);
  return (
    <div class="band">
      <svg
        viewBox={`0 0 ${WIDTH} 92`}
        preserveAspectRatio="none"
        role="img"
        aria-label={texts.readout.deflection}
      >
        <rect class="band-ground" x={MIDDLE - REACH} width={2 * REACH} y="4" height="84" />
        <rect class="band-deflection" ref={band} y="4" height="84" />
        <line class="band-null" x1={MIDDLE} x2={MIDDLE} y1="0" y2="92" />
      </svg>
      <ol class="band-marks" aria-hidden="true">
        {marksOf(scale).map((mark) => (
          <li key={mark} style={{ left: `${(100 * (MIDDLE + REACH * placeOf(mark, scale))) / WIDTH}%` }}>
            {fixed(mark, scale === '1' ? 1 : 0)}
          </li>
        ))}
      </ol>
      <p class="band-words" ref={words} data-testid="side" />
    </div>
  );
}
