import type { MessageCatalogue } from '../../bridge/serve/page-protocol.ts';
import { setup } from './es-bench-setup.ts';
import { calculation } from './es-calculation.ts';
import { findings } from './es-findings.ts';
import { link } from './es-link.ts';

/** Cada frase que el puente compone. */
export const catalogue: MessageCatalogue = { ...calculation, ...findings, ...link, ...setup };
