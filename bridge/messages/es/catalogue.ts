import type { MessageCatalogue } from '../catalogue.ts';
import { setup } from './bench-setup.ts';
import { calculation } from './calculation.ts';
import { classFindings } from './class.ts';
import { findings } from './findings.ts';
import { link } from './link.ts';

/** Cada frase que el puente compone. */
export const catalogue: MessageCatalogue = {
  ...calculation,
  ...classFindings,
  ...findings,
  ...link,
  ...setup,
};
