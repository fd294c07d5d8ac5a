import type { MessageCatalogue } from '../../bridge/serve/page-protocol.ts';

/** Lo que dicen los cálculos. */
export const calculation = {
  'method-one-set': () =>
    'Una sola serie; la corrección de extremo se toma como se conocía antes de la medida.',
  'method-sets': ({ sets }) =>
    `Mínimos cuadrados sobre ${sets} series, con errores en ambas longitudes y sus correlaciones; la corrección de extremo se estima con las series junto con lo que se sabía de ella antes de la medida.`,
  'method-widened': ({ method }) =>
    `${method} La incertidumbre se amplía, porque las series se dispersan más de lo que permiten sus incertidumbres.`,
  'method-one-load': () =>
    'Una sola carga; la corrección de extremo se toma como se conocía antes de la medida.',
  'method-loads': ({ loads }) =>
    `Mínimos cuadrados sobre ${loads} cargas, con errores en longitudes y cargas y sus correlaciones; la corrección de extremo se estima a la vez, a partir de lo que se sabía de ella antes de la medida.`,
  'method-monte-carlo': ({ method, trials, tolerance }) =>
    `${method} El intervalo es el de un cálculo Monte Carlo de ${trials} ensayos, cuyos extremos difieren de k·u en más de ${tolerance}.`,

  'row-length': ({ cell, set }) => `longitud de equilibrio de la pila ${cell}, serie ${set}`,
  'row-open-length': ({ set }) => `longitud de equilibrio sin la carga, serie ${set}`,
  'row-loaded-length': ({ ohm, set }) => `longitud de equilibrio con la carga (${ohm} Ω), serie ${set}`,
  'row-load': ({ ohm }) => `carga de ${ohm} Ω`,
  'row-end-correction': () => 'corrección de extremo, como se conocía antes de la medida',
  'row-scatter': () => 'dispersión entre series más allá de las incertidumbres declaradas',
  'row-lag': () => 'retraso del galvanómetro respecto al cursor en movimiento',
  'row-zero': () => 'cero del galvanómetro',
  'row-of-bench': ({ what, bench }) => `${what}, archivo de banco ${bench}`,
  'row-drift': ({ set }) => `deriva de la corriente del hilo en la serie ${set}`,
  'row-common': ({ name }) => `${name}, común a varias longitudes`,
  'row-position': () => 'calibración del sensor de posición',
  'row-wire': () => 'uniformidad del hilo',
  'row-turns': () => 'pletinas que unen las filas',
  'row-thermal': () => 'fuerzas electromotrices térmicas',
  'row-reference': () => 'fuerza electromotriz de la pila de referencia',

  'sets-scatter': ({ times }) =>
    `Las series se dispersan ${times} veces lo que dicen sus incertidumbres; el resultado se amplía por ello. Busque una serie perturbada.`,
  'sets-scatter-but-one': ({ times, set }) =>
    `Las series se dispersan ${times} veces lo que dicen sus incertidumbres; la incertidumbre del resultado se amplía por ello. Sin la serie ${set} las demás concuerdan: revise su pila, su fila y sus lecturas, y rechace sus ceros si fue perturbada.`,
  'sets-alike': () =>
    'Las series se tomaron casi con una misma corriente, así que nada dicen de la corrección de extremo: se toma como conocida antes de la medida. Cambie la corriente de serie a serie.',
  'load-exchanged': ({ set, ohm }) =>
    `Serie ${set}: con ${ohm} ohm en bornes de la pila la longitud de equilibrio es mayor que sin carga, y r sale menor que cero. ¿Se confundieron carga puesta y quitada, o se leyó mal una longitud?`,
  'end-correction-contradicts': ({ cm, uCm, fileCm, fileUCm }) =>
    `Las series sitúan la corrección de extremo en ${cm} cm con incertidumbre típica ${uCm} cm, lo que contradice al archivo de banco (${fileCm} cm con ${fileUCm} cm). Revise la unión en A y el cero de la escala.`,
  'end-correction-counts': ({ cm, uCm, otherwise }) =>
    `La corrección de extremo es ${cm} cm con incertidumbre típica ${uCm} cm: cuenta. ${otherwise}`,
  'ratio-without-it': ({ off }) => `La media simple de l1/l2 prescinde de ella y difiere en ${off}.`,
  'resistance-without-it': () => 'R (l0/l - 1) sin ella se desvía.',
  'no-complete-set': () =>
    'Ninguna serie tiene longitudes de equilibrio de ambas pilas: E1/E2 necesita al menos una, y mejor cuatro o más.',
  'no-complete-load': () =>
    'Ninguna serie tiene longitudes de equilibrio sin y con la carga y la resistencia de esta: r necesita al menos una, y mejor varias cargas.',
  'one-set-only': () =>
    'Hay una sola serie: nada pone a prueba la corrección de extremo ni la dispersión. Tome cuatro o más con corrientes distintas.',
  'one-load-only': () => 'Hay una sola carga: nada comprueba que r sea siempre la misma. Tome varias cargas.',
  'nothing-to-weigh-by': () =>
    'Las longitudes no traen incertidumbre con la que un ajuste pueda ponderarlas.',
  'reference-without-emf': () =>
    'La fuerza electromotriz de la pila de referencia debe ser mayor que 0 y llevar su incertidumbre típica.',

  'weston-out-of-range': ({ formula, fromC, toC, atC }) =>
    `La fórmula (${formula}) vale de ${fromC} a ${toC} °C, no a ${atC} °C.`,
  'weston-senseless': () =>
    'La fuerza electromotriz a 20 °C debe ser mayor que 0, y ninguna incertidumbre menor que 0.',

  'bench-value-senseless': () =>
    'Entre lo que se sabe del banco hay un valor que falta o no tiene sentido; revise el archivo de banco.',
  'set-left-out': ({ set, why }) => `La serie ${set} queda fuera: ${why}. Mídala otra vez o rechácela.`,
  'number-not-whole': () => 'su número no es entero',
  'number-twice': () => 'su número ya se había dado',
  'load-senseless': ({ ohm }) => `su carga es ${ohm} Ω`,
  'load-uncertainty-senseless': ({ ohm }) => `la incertidumbre de su carga es ${ohm} Ω`,
  'load-twice': ({ ohm }) => `ya se había dado con la misma carga (${ohm} Ω)`,
  'length-of-cell': ({ cell, fault }) => `la longitud de equilibrio de la pila ${cell} ${fault}`,
  'open-length': ({ fault }) => `la longitud de equilibrio sin la carga ${fault}`,
  'loaded-length': ({ fault }) => `la longitud de equilibrio con la carga ${fault}`,
  'length-not-above-0': ({ cm }) => `es ${cm} cm; una longitud de equilibrio es mayor que 0`,
  'length-without-uncertainty': () => 'no tiene incertidumbre típica',
  'length-without-dof': () => 'tiene una incertidumbre sin grados de libertad',
  'length-with-odd-effect': () => 'tiene un efecto común que no es un número',

  'row-absent': ({ what }) => `El balance no tiene línea para ${what}; se toma como cero.`,
  'absent-position': () => 'la calibración del sensor de posición (position.standardUncertaintyCm)',
  'absent-wire': () => 'la uniformidad del hilo (wire.uniformityRelative)',
  'absent-turns': () => 'las pletinas que unen las filas (wire.turnCorrectionCm)',
  'absent-thermal': () =>
    'las fuerzas electromotrices térmicas, porque ninguna corriente del hilo convierte los microvoltios en longitud',
  'absent-load': () =>
    'El balance no tiene línea para la resistencia de carga, porque no se indicó su incertidumbre; se toma como cero.',

  'plan-not-above-0': () =>
    'Las fuerzas electromotrices, la resistencia del galvanómetro y la incertidumbre de lectura deben ser mayores que 0.',
  'plan-resistances': () =>
    'Las resistencias no pueden ser menores que 0, y el reóstato debe ir de menos a más.',
  'plan-no-set': () => 'Planee una serie o más.',
  'plan-weak-driver': ({ driverV, cellV }) =>
    `La pila auxiliar (${driverV} V) debe tener mayor fuerza electromotriz que ambas pilas (${cellV} V): si no, no hay ningún cero en el hilo.`,
  'plan-beyond-wire': ({ ohm, cm }) =>
    `Aun con el reóstato en ${ohm} Ω la pila mayor se equilibraría a ${cm} cm, más allá del final del hilo. Use una pila auxiliar de mayor fuerza electromotriz.`,
  'plan-short-reach': ({ cm }) =>
    `El reóstato no puede llevar el cero de la pila mayor hasta la última fila (${cm} cm como mucho): una resistencia mayor aprovecharía mejor el hilo.`,
  'plan-close-settings': () =>
    'Los ajustes quedan muy juntos, así que las series dirán poco de la corrección de extremo.',
  'plan-hot': ({ mA, watts }) =>
    `${mA} mA convierten en calor ${watts} W en cada metro de hilo: el hilo puede quemar la piel. No lo planee así; use una corriente menor.`,
  'plan-warm': ({ mA, watts }) =>
    `${mA} mA convierten en calor ${watts} W en cada metro de hilo: se calienta y su resistencia deriva. Cierre la llave solo mientras lee, y espere entre lecturas.`,
} satisfies Partial<MessageCatalogue>;
