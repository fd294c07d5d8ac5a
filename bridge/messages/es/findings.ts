import type { MessageCatalogue } from '../catalogue.ts';

/** Los avisos de una medida y por qué un cero no cuenta. */
export const findings = {
  'zero-end-wrong': () =>
    'Los ceros de cada pila concuerdan entre sí solo si la escala métrica empieza por su otro extremo: corrija el extremo del cero en el archivo de banco (las longitudes que se muestran son erróneas).',
  'row-wrong': ({ id, row, said }) =>
    `${id} se halló en la fila ${said} y solo concuerda con las demás series en la fila ${row}: mire la fila y asígnele el cero, o rechácelo.`,
  'mark-off': ({ mark, offCm }) =>
    `La marca de calibración en ${mark} cm queda a ${offCm} cm de la línea entre sus vecinas: ¿se tecleó mal, o el cursor no estaba en ella? Vuelva a tomarla.`,
  'leads-turned': ({ id, cause }) =>
    `El galvanómetro va a - hacia A y a + hacia B${id === null ? '' : ` (${id})`}: ${cause}. Los ceros son buenos y cuentan.`,
  'no-deflection': () =>
    'El galvanómetro no se mueve en ningún punto del hilo: busque una rama abierta (cable del cursor, galvanómetro, conmutador, resistencia de protección, pila) o una pila agotada.',
  'no-deflection-or-lifted': ({ still }) =>
    `${still} Esta placa no nota el contacto, así que con el cursor levantado se vería lo mismo.`,
  'one-direction-only': ({ cell }) =>
    `Pila ${cell}: por ahora solo se desvía hacia un lado. Toque cerca de ambos extremos del hilo, A y B.`,
  'wire-jumps': ({ fromCm, toCm, idle, others }) =>
    `La desviación salta de un lado al otro entre ${fromCm} cm y ${toCm} cm desde A${idle ? ' sin que pase corriente por el hilo' : ''}: el hilo, o una pletina que une dos filas, está roto ahí${others.map((cause) => `; o bien ${cause}`).join('')}.`,
  'saturated-about-null': ({ cell, fromCm, toCm }) =>
    `Pila ${cell}: el galvanómetro está al límite de su rango a ambos lados del cero, entre ${fromCm} cm y ${toCm} cm desde A. Muévase ahí más despacio, o baje la sensibilidad.`,
  'null-between': ({ cell, fromCm, toCm }) =>
    `Pila ${cell}: el cero está entre ${fromCm} cm y ${toCm} cm desde A y aún no se ha hallado con más precisión. Recórralo despacio o toque ahí.`,
  'current-grows-less': ({ set, cell }) =>
    `Serie ${set}, pila ${cell}: lejos del cero la corriente del galvanómetro crece mucho menos que junto a él, así que no se puede distinguir ningún cero: su amplificador recorta o pierde ganancia. Recorra solo la parte en que crece por igual, o baje la ganancia.`,
  'rate-too-low': ({ set, cell, hz }) =>
    `Serie ${set}, pila ${cell}: sus toques dan demasiado pocas muestras para distinguir un cero, a ${hz} por segundo. Haga que la placa muestree más deprisa, recorra más despacio y mantenga los toques más tiempo.`,
  'same-sign': ({ cell, side, causes }) =>
    `La pila ${cell} desvía a ${side} en ambos extremos del hilo: ${causes.join('; o bien ')}.`,

  'driver-weak': () =>
    'la pila auxiliar es demasiado débil para esta pila en todo el hilo (suba la corriente: menos resistencia en el reóstato, una pila auxiliar nueva)',
  'driver-open': () => 'no pasa corriente por el hilo (llave abierta, el reóstato o un cable suelto)',
  'driver-back': () => 'la pila auxiliar está invertida',
  'driver-and-cell-back': () => 'la pila auxiliar está invertida y esta pila también',
  'driver-and-cells-back': () => 'la pila auxiliar está invertida y las pilas también',
  'cell-back': () => 'esta pila está invertida',
  'leads-swapped': () => 'los bornes del galvanómetro están cambiados respecto al archivo de banco',
  'ammeter-off': () => 'el canal del amperímetro no está conectado',
  'one-or-other': ({ one, other }) => `${one}; o bien ${other}`,
  'one-and-other': ({ one, other }) => `${one} y ${other}`,
  'one-with-other': ({ one, other }) => `${one}, y ${other}`,
  'one-besides-either': ({ one, other, another }) => `${one}, y además ${other} o ${another}`,

  'rest-off': ({ counts, statedCounts }) =>
    `El galvanómetro vuelve a ${counts} cuentas, que se toman por su cero; el archivo del banco dice ${statedCounts}. ` +
    'Esta placa no detecta el contacto: levante el cursor, mire si queda ahí y ajuste el cero en el archivo del banco.',
  'zero-off': ({ counts, statedCounts }) =>
    `Con el cursor levantado el galvanómetro marca ${counts} cuentas; el archivo de banco dice ${statedCounts}. Se da crédito al cursor levantado; ponga de nuevo el cero en el archivo de banco.`,
  'row-unknown': ({ ids }) => `${ids}: no se sabe la fila. Indíquela, y el cero cuenta.`,
  'cell-unknown': ({ ids }) => `${ids}: no se sabe la pila. Indíquela, y el cero cuenta.`,
  'nulls-apart': ({ set, cell, nulls, mm, times }) =>
    `Serie ${set}, pila ${cell}: sus ${nulls} ceros se dispersan ${mm} mm, ${times} veces lo que promete cada uno. La incertidumbre se ha ampliado; busque una corriente que deriva, un cursor flojo o un hilo sucio.`,
  'no-better-than-eye': ({ set, cell, mm }) =>
    `Serie ${set}, pila ${cell}: las lecturas solo distinguen el cero hasta ${mm} mm, no mejor que el ojo en la escala (0.5 mm). Quite la resistencia de protección, suba la corriente o recorra más despacio.`,
  'driver-drifted': ({ set, percent }) =>
    `Serie ${set}: la corriente del hilo derivó un ${percent} % entre sus ceros. Las longitudes se llevan a una misma corriente; deje que la corriente se asiente, y tome sus ceros de ida y vuelta: primero, segundo, segundo, primero.`,
  'driver-changed': ({ set }) =>
    `Serie ${set}: la corriente del hilo se cambió entre sus ceros. Sus longitudes no son de una misma corriente; empiece una serie nueva tras cada cambio.`,
  'driver-reads-less': ({ cell, driverV, cellV }) =>
    `Según el voltímetro la pila auxiliar (${driverV} V) no marca más que la pila ${cell} (${cellV} V), así que no puede haber en el hilo ningún cero de esa pila: use una pila auxiliar más fuerte, o mida otra vez las dos.`,

  'driver-reads-low': ({ cell, driverV, cellV }) =>
    `Según el voltímetro la pila auxiliar (${driverV} V) no marca más que la pila ${cell} (${cellV} V), y sin embargo hay en el hilo un cero de esa pila: una de las dos se leyó mal. Mídalas otra vez y corrija el archivo de banco.`,
  'ratio-unlike-voltmeter': ({ ratio, stated, why }) =>
    `Las longitudes dan E1/E2 = ${ratio}, las lecturas del voltímetro ${stated}: eso no es cuestión de incertidumbre. ${why}`,
  'blunder-cells': () => 'Las pilas se intercambiaron, en el conmutador o en el archivo de banco.',
  'blunder-one-cell': () => '¿Se equilibró dos veces la misma pila?',
  'blunder-other': () =>
    'Busque una fila mal leída, una pila que no era la del circuito o un voltímetro mal leído.',
  'null-unlike-ammeter': ({ set, cell, mA, volts, stated }) =>
    `Serie ${set}: según el amperímetro (${mA} mA) y la resistencia declarada del hilo, el cero de la pila ${cell} está a ${volts} V, pero la pila consta con ${stated} V. Revise la lectura, la escala y el cero del amperímetro, la resistencia del archivo de banco y la fila.`,

  'reference-unprotected': ({ cell, ohm }) =>
    `La pila ${cell} es de referencia: ponga en serie una resistencia de protección de 100 kΩ o más e indíquela en el archivo de banco (${ohm === null ? 'no consta ninguna' : `es de ${ohm} Ω`}).`,
  'reference-unknown': ({ cell, why }) =>
    `No se conoce la fuerza electromotriz de la pila de referencia ${cell}: ${why}`,
  'reference-temperature': () => 'hay que indicar su temperatura con la pila o con la medida.',
  'reference-worked': ({ cell, atLeast, microamps, cm }) =>
    `Por la pila de referencia ${cell} pasaron ${atLeast ? 'más de ' : ''}${microamps} µA a ${cm} cm desde A: su fuerza electromotriz se ha desplazado y solo vuelve en horas. Déjela reposar y compárela con otra antes de fiarse de ella.`,
  'load-without-ohm': ({ sets }) =>
    `Serie ${sets}: no se sabe la resistencia de la carga. Indique cuántos ohm tiene, y la serie cuenta.`,
  'reference-loaded': ({ cell }) =>
    `La pila ${cell} es de referencia: no se le puede poner ninguna carga en bornes. Su resistencia interna no se puede medir así.`,

  'samples-lost': ({ samples, percent }) => `${samples} muestras no llegaron nunca (${percent} %).`,
  'lines-damaged': ({ lines }) =>
    `${lines} líneas no se pudieron leer y quedaron fuera; si siguen, revise el cable y los baudios.`,
  'board-restarted': ({ times }) =>
    `La placa arrancó de nuevo ${times === 1 ? 'una vez' : `${times} veces`} durante la medida.`,
  'recording-torn': () => 'La grabación termina a mitad de una línea, que queda fuera.',
  'bench-unusable': ({ event, faults }) =>
    `El archivo de banco del evento ${event} no se puede usar: ${faults.join('; ')}`,
  'no-bench': () =>
    'No se ha dado ningún archivo de banco, así que las cuentas no pueden ser longitudes ni corrientes.',
  'nothing-yet': () => 'Aún no ha llegado ni un archivo de banco ni una muestra: por ahora no se mide nada.',
  'events-unreadable': ({ events, numbers }) =>
    `${events === 1 ? 'Un evento no se entendió y quedó' : `${events} eventos no se entendieron y quedaron`} fuera (n.º ${numbers} de las líneas ! de la grabación): falta lo que allí se dijo.`,
  'hum-folded': ({ rateHz }) =>
    `A ${rateHz} muestras por segundo el zumbido de red parece una corriente fija o lenta y desplaza el cero. Elija un ritmo a unos hercios de 100, de 120 y de todos sus divisores, como 200 o 90.`,

  rejected: () => 'rechazado',
  'rejected-because': ({ reason }) => `rechazado: ${reason}`,
  'null-protected': () => 'con la resistencia de protección puesta: guía, y no cuenta',
  'null-row-unknown': () => 'no se sabe la fila',
  'null-off-rows': ({ row, rows }) => `no existe la fila ${row}: el hilo tiene ${rows}`,
  'null-off-scale': ({ cm, rowCm }) =>
    `la lectura ${cm} cm de la escala cae fuera del hilo, cuyas filas miden ${rowCm} cm`,
  'null-cell-unknown': () => 'no se sabe la pila',
  'null-other-cell': ({ cell }) => `esta medida es de la resistencia interna de la pila ${cell}`,
  'null-loaded': () => 'había una resistencia de carga en bornes de la pila',
} satisfies Partial<MessageCatalogue>;
