import type { MessageCatalogue } from '../catalogue.ts';

const measuredAt = ({ runs, benches }: { runs: number; benches: number }): string =>
  `${runs} medidas en ${benches} ${benches === 1 ? 'banco' : 'bancos'}`;

/** El valor de una clase y cuánto difieren sus medidas: solo en el informe. */
export const classValue = {
  'class-one-run': ({ value }) => `${value}; 1 medida en 1 banco`,
  'class-value': (found) => `${found.value} (${found.by}); ${measuredAt(found)}`,
  'class-value-spread': (found) =>
    `${found.value} (${found.by} y desviación típica de una sola medida); ${measuredAt(found)}`,
  'by-median': () => 'mediana',
  'by-algorithm-a': () => 'algoritmo A',
  'repeatability-unknown': () =>
    'no se puede decir cuánto difieren las medidas en un mismo banco: ningún banco tiene dos (ISO 5725-2)',
  'repeatability-alone': ({ within }) =>
    `desviación típica de las medidas en un mismo banco ${within} (ISO 5725-2)`,
  'repeatability-between': ({ within, between }) =>
    `desviación típica de las medidas en un mismo banco ${within}, entre bancos ${between} (ISO 5725-2)`,
} satisfies Partial<MessageCatalogue>;
