import type { MessageCatalogue } from '../catalogue.ts';

/** Lo que dicen los cálculos. */
export const calculation = {
  'method-one-set': () =>
    'Una sola serie, promediada sobre lo que puede haber detrás: tamaños de la corrección de extremo, de la desigualdad del hilo y del cambio de las pilas.',
  'method-sets': ({ sets }) =>
    `Promedio de los modelos que explican ${sets} series, cada uno un ajuste por mínimos cuadrados con errores en ambas longitudes y sus correlaciones, ponderados por lo probable que las series hacen a cada uno. Los modelos difieren en el tamaño de la corrección de extremo, de la desigualdad del hilo y del cambio de las pilas, y en deslices.`,
  'method-one-load': () =>
    'Una sola carga, promediada sobre lo que puede haber detrás: tamaños de la corrección de extremo, de la desigualdad del hilo y del cambio de la pila.',
  'method-loads': ({ loads }) =>
    `Promedio de los modelos que explican ${loads} cargas, cada uno un ajuste por mínimos cuadrados con errores en longitudes y cargas y sus correlaciones, ponderados por lo probable que las cargas hacen a cada uno. Los modelos difieren en el tamaño de la corrección de extremo, de la desigualdad del hilo y del cambio de la pila, y en deslices.`,

  'row-length': ({ cell, set }) => `longitud de equilibrio de la pila ${cell}, serie ${set}`,
  'row-open-length': ({ set }) => `longitud de equilibrio sin la carga, serie ${set}`,
  'row-loaded-length': ({ ohm, set }) => `longitud de equilibrio con la carga (${ohm} Ω), serie ${set}`,
  'row-load': ({ ohm }) => `carga de ${ohm} Ω`,
  'row-end-correction': () => 'corrección de extremo, como se conocía antes de la medida',
  'row-end-assumed': () => 'corrección de extremo de un banco que nadie midió',
  'row-slips': () => 'una longitud mal leída o una pila que salta',
  'row-models': () => 'lo que las series no pueden distinguir',
  'row-lag': () => 'retraso del galvanómetro respecto al cursor en movimiento',
  'row-zero': () => 'cero del galvanómetro',
  'row-of-bench': ({ what, bench }) => `${what}, archivo de banco ${bench}`,
  'row-drift': ({ set }) => `deriva de la corriente del hilo en la serie ${set}`,
  'row-common': ({ name }) => `${name}, común a varias longitudes`,
  'row-position': () => 'calibración del sensor de posición',
  'row-taper': () => 'hilo que se adelgaza de un extremo a otro',
  'row-walk': () => 'desigualdad a lo largo del hilo',
  'row-rows': () => 'filas del hilo que difieren',
  'row-cells': () => 'cambio de las fuerzas electromotrices durante la medida',
  'row-turns': () => 'pletinas que unen las filas',
  'row-thermal': () => 'fuerzas electromotrices térmicas',
  'row-reference': () => 'fuerza electromotriz de la pila de referencia',

  'row-uneven': ({ row, percent }) =>
    `Las series discrepan como lo harían en un hilo desigual; la fila ${row} es la que menos encaja (su resistencia por longitud, desviada en torno al ${percent} %). Tome más series con ceros en otros lugares, o haga medir el hilo.`,
  'cell-drifts': ({ cell, percent }) =>
    `Las series discrepan como lo harían con una pila que cambia; la pila ${cell}, en torno al ${percent} % por minuto. Déjela reposar, tome las pilas en el orden 1-2-2-1 y trabaje deprisa.`,
  'cell-jumped': ({ set }) =>
    `Las series discrepan como lo harían con una fuerza electromotriz que saltó después de la serie ${set}. Mire los contactos de las pilas y repita las series.`,
  'set-off': ({ set }) =>
    `La serie ${set} no concuerda con las demás: revise su pila, su fila y sus lecturas, y rechace sus ceros si fue perturbada.`,
  'statement-contradicted': ({ what }) =>
    `Las series contradicen lo que declara el archivo de banco (${what}): es mayor.`,
  'result-outside-sets': ({ off }) =>
    `El resultado queda fuera de los cocientes de sus propias series, en ${off}: descansa en la corrección de extremo. Mídala, o tome series cuyas longitudes difieran más.`,
  'sets-alike': () =>
    'Las series se tomaron casi con una misma corriente, así que nada dicen de la corrección de extremo: se toma como conocida antes de la medida. Cambie la corriente de serie a serie.',
  'load-exchanged': ({ set, ohm }) =>
    `Serie ${set}: con ${ohm} ohm en bornes de la pila la longitud de equilibrio es mayor que sin carga, y r sale menor que cero. ¿Se confundieron carga puesta y quitada, o se leyó mal una longitud?`,
  'end-correction-contradicts': ({ cm, uCm }) =>
    `Las series sitúan la corrección de extremo en ${cm} cm con incertidumbre típica ${uCm} cm, lo que contradice al archivo de banco. Revise la unión en A y el cero de la escala.`,
  'end-correction-counts': ({ cm, uCm }) =>
    `La corrección de extremo es ${cm} cm con incertidumbre típica ${uCm} cm: cuenta, y un cociente simple de longitudes se desvía.`,
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

  'row-assumed': ({ what }) =>
    `Nadie declaró ${what}; se toma un tamaño corriente en bancos que nadie ha medido.`,
  'absent-position': () => 'la calibración del sensor de posición (position.standardUncertaintyCm)',
  'absent-end': () => 'la corrección de extremo (endCorrection)',
  'absent-wire': () => 'la desigualdad a lo largo del hilo (wire.uniformityRelative)',
  'absent-rows': () => 'cuánto difieren las filas (wire.rowSpreadRelative)',
  'absent-turns': () => 'las pletinas que unen las filas (wire.turnCorrectionCm)',
  'absent-thermal': () => 'las fuerzas electromotrices térmicas (thermalEmfUv)',
  'absent-steady': () => 'lo estables que son las pilas (cells.N.steadyRelativePerMin)',
  'thermal-without-current': ({ set }) =>
    `El balance no tiene fila de fuerzas electromotrices térmicas para la serie ${set}, porque ninguna corriente convierte microvoltios en longitud; se toman como cero.`,
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
  'working-right': () => 'Correcto.',
  'working-no-number': () => 'Esto no es un número.',
  'working-last-digit': () => 'Correcto salvo la última cifra: redondee una sola vez, al final.',
  'working-few-digits': () => 'Correcto hasta ahí, pero redondeado demasiado pronto: conserve una cifra más.',
  'working-unexplained': () => 'No se deduce de las lecturas, y ningún desliz habitual lleva a ello.',
  'working-not-corrected': () => 'Es la lectura misma: falta la corrección de cero del amperímetro.',
  'working-correction-turned': () => 'La corrección de cero del amperímetro se aplicó al revés.',
  'working-exchanged': () => 'Las dos longitudes están cambiadas: es lo que da al revés.',
  'working-row': ({ which }) =>
    `Un desliz de fila: la ${which === 1 ? 'primera' : 'segunda'} longitud tiene una fila entera de más o de menos.`,
  'working-zero-end': ({ which }) =>
    `La ${which === 1 ? 'primera' : 'segunda'} longitud se tomó desde el extremo equivocado de su fila.`,
  'working-zero-ends': () => 'Ambas longitudes se tomaron desde el extremo equivocado de su fila.',
  'working-follows': () => 'Se deduce de sus números de arriba, de los que uno o más son erróneos.',
  'working-left-out': ({ set }) => `Es la media sin la serie ${set}.`,
  'working-single': () =>
    'Es la desviación típica de un solo valor; la de la media es menor en la raíz de su número.',
  'working-population': () =>
    'Divide por el número de valores; lo correcto es uno menos, pues la media sale de los mismos valores.',
  'working-half-range': () => 'Es la mitad del recorrido; se pide la desviación típica de la media.',
} satisfies Partial<MessageCatalogue>;
