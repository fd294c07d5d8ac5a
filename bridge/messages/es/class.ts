import type { MessageCatalogue } from '../catalogue.ts';

/** Lo que se midió, y lo que destaca entre las medidas de una clase: en la página y en el informe. */
export const classFindings = {
  'measurand-ratio': ({ first, second }) => `E1/E2, ${first} entre ${second}`,
  'measurand-resistance': ({ cell }) => `r, de ${cell}`,
  'measurand-emf': ({ cell }) => `fuerza electromotriz, ${cell}`,
  'cell-of-bench': ({ cell, bench }) => `pila ${cell} de ${bench}`,
  'bench-unknown': () => 'un banco desconocido',
  'bench-off': ({ bench, verdict }) => `${bench} se aparta de los demás bancos (Grubbs: ${verdict})`,
  'bench-spreads': ({ bench, verdict }) =>
    `las medidas de ${bench} difieren entre sí más que en otros bancos (Cochran: ${verdict})`,
  'verdict-outlier': () => 'valor aberrante',
  'verdict-straggler': () => 'valor dudoso',
  'bench-says': ({ remark, causes }) => `${remark}; su propia medida dice: ${causes.join(' ')}`,
  'bench-says-nothing': ({ remark }) => `${remark}; su propia medida no nombra ninguna causa`,
} satisfies Partial<MessageCatalogue>;
