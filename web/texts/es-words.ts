import type { Words } from '../../bridge/serve/messages.ts';
import { calculation } from './es-calculation.ts';
import { desk } from './es-desk.ts';
import { findings } from './es-findings.ts';
import { link } from './es-link.ts';

/** Cada frase que el puente compone. */
export const words: Words = { ...calculation, ...findings, ...link, ...desk };
