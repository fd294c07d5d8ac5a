import { setup } from './bench-setup.ts';
import { calculation } from './calculation.ts';
import { classFindings } from './class.ts';
import { findings } from './findings.ts';
import { link } from './link.ts';

/** Cada frase del puente que llega a una página. */
export const page = { ...calculation, ...classFindings, ...findings, ...link, ...setup };
