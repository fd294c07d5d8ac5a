import type { MessageCatalogue } from '../catalogue.ts';
import { classValue } from './class-value.ts';
import { page } from './page.ts';

/** Cada frase que el puente compone. */
export const catalogue: MessageCatalogue = { ...page, ...classValue };
