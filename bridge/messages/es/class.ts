import type { MessageCatalogue } from '../catalogue.ts';

const measuredAt = ({ runs, benches }: { runs: number; benches: number }): string =>
  `${runs} medidas en ${benches} ${benches === 1 ? 'banco' : 'bancos'}`;

/** Lo que las medidas de una clase encontraron juntas. */
export const classFindings = {
  'measurand-ratio': ({ first, second }) => `E1/E2, ${first} entre ${second}`,
  'measurand-resistance': ({ cell }) => `r, de ${cell}`,
  'measurand-emf': ({ cell }) => `fuerza electromotriz, ${cell}`,
  'cell-of-bench': ({ cell, bench }) => `pila ${cell} de ${bench}`,
  'bench-unknown': () => 'un banco desconocido',

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
  'bench-off': ({ bench, verdict }) => `${bench} se aparta de los demás bancos (Grubbs: ${verdict})`,
  'bench-spreads': ({ bench, verdict }) =>
    `las medidas de ${bench} difieren entre sí más que en otros bancos (Cochran: ${verdict})`,
  'verdict-outlier': () => 'valor aberrante',
  'verdict-straggler': () => 'valor dudoso',
  'bench-says': ({ remark, causes }) => `${remark}; su propia medida dice: ${causes.join(' ')}`,
  'bench-says-nothing': ({ remark }) => `${remark}; su propia medida no nombra ninguna causa`,
} satisfies Partial<MessageCatalogue>;
