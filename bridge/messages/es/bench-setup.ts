import type { MessageCatalogue } from '../catalogue.ts';

/** Lo que el puente responde cuando no puede, y lo que falla en los archivos. */
export const setup = {
  'asked-oddly': () => 'La página preguntó de una manera que no se conoce.',
  'message-odd': () => 'Ese mensaje no es de la versión 1 del protocolo; vuelva a cargar la página.',
  'bridge-failed': ({ message }) => `El puente falló en ello: ${message}`,
  'job-given-up': ({ minutes }) => `No se terminó en ${minutes} minutos y se abandonó.`,
  'bridge-ends': () => 'El puente está terminando.',
  'replays-many': ({ most }) => `Hay ${most} reproducciones abiertas: cierre primero una de ellas.`,
  'too-busy': () => 'Se está calculando demasiado a la vez: pídalo de nuevo dentro de un minuto.',
  'run-gone': () => 'Esa medida ya no está aquí.',
  'no-run-open': () => 'No hay ninguna medida abierta en esta página.',
  'watches-only': () => 'Esta página solo mira. Para manejar, abra la página del banco en el propio puente.',
  'no-hand': () => 'Desde la página solo se puede mover un banco simulado que se maneja a mano.',
  'replay-only-played': () =>
    'Esto es una reproducción: para añadir a la grabación, reanúdela (tenwire run --resume).',
  'copied-only-watched': () => 'Esta medida está en otro ordenador: aquí solo se mira.',
  'live-not-played': () =>
    'Esta medida está en vivo: se puede reproducir cuando haya terminado (tenwire replay).',
  'run-begun-elsewhere': () =>
    'Esta medida no se empezó desde una página: termínela en la terminal donde se empezó, con Ctrl-C.',
  'port-of-run': ({ path, run }) =>
    `${path} es el puerto de ${run}, que está en curso: termine antes esa medida, o elija otro puerto.`,
  'recording-of-run': ({ file }) => `${file} es la grabación de una medida en curso.`,
  'no-such-null': ({ id }) => `No hay ningún cero ${id} en esta medida.`,
  'no-such-event': ({ event }) => `No hay ningún evento ${event} en esta medida.`,
  'bench-not-taken-back': () =>
    'Un archivo de banco no se puede retirar, porque con él ya se calcularon lecturas. Introduzca el correcto: vale desde entonces.',
  'results-not-taken-back': () => 'Si los resultados están ocultos lo dice el profesor.',
  'results-hidden': () => 'Los resultados están ocultos hasta que entregue su propio cálculo.',
  'results-hidden-in': ({ file }) =>
    `${file}: sus resultados están ocultos hasta que se entregue el cálculo propio.`,
  'teacher-only': () => 'Solo la página del profesor puede ocultarlos o mostrarlos.',
  'event-taken-back': ({ event }) => `El evento ${event} ya se había retirado.`,

  'no-counts': () => 'No hay nada abierto de donde leer cuentas: elija primero un puerto.',
  'no-samples-held': () =>
    'No llegó ninguna muestra mientras se mantenía el cursor: compruebe que la placa responde.',
  'plan-needs-voltages': () =>
    'Un plan necesita en el archivo de banco las lecturas del voltímetro de la pila auxiliar, la pila 1 y la pila 2 (o la fuerza electromotriz de una pila de referencia).',
  'marks-alike': () => 'Dos puntos tienen la misma marca: quite uno de ellos.',
  'counts-astray': () => 'Las cuentas no siguen a las marcas: mantenga otra vez el cursor en cada marca.',

  'bench-bad-name': ({ file }) => `${file} no es nombre de un archivo de banco.`,
  'bench-name-rule': () =>
    'El nombre de un archivo de banco lleva letras, cifras, puntos y guiones, y acaba en .json.',
  'bench-faulty': ({ file, faults }) => `${file} no se puede usar: ${faults}`,
  'bench-unread': ({ file, message }) => `${file} no se puede leer: ${message}`,
  'bench-unsaved': ({ file, message }) => `${file} no se pudo guardar: ${message}. Queda el banco anterior.`,

  'whole-file': () => '(todo el archivo)',
  'field-missing': () => 'falta',
  'field-expected': ({ expected, found }) => `${expected} (hay ${found})`,
  'field-fault': ({ path, expected }) => `${path}: ${expected}`,
  'field-faults': ({ faults }) => faults.join('\n'),
  'must-be-fields': () => 'un grupo de campos entre llaves',
  'must-be-text': () => 'un texto',
  'must-be-number': () => 'un número',
  'must-be-finite': () => 'un número finito',
  'must-be-positive': () => 'un número mayor que 0',
  'must-not-be-negative': () => 'un número no menor que 0',
  'must-be-share': () => 'una parte de 1 (0.002 para 0.2 %)',
  'must-not-be-0': () => 'un número distinto de 0',
  'must-be-whole': ({ least, most }) => `un número entero de ${least} a ${most}`,
  'must-be-either': ({ one, other }) => `${one} o ${other}`,
  'must-be-points': () => 'una lista de puntos {counts, scaleCm}',
  'must-be-two-points': () => 'dos puntos o más',
  'must-go-one-way': () => 'puntos cuya lectura de escala solo sube o solo baja con las cuentas',

  'bench-too-big': () =>
    'lo que se sabe del banco es demasiado largo para una grabación (256 kB como máximo, 64 niveles de corchetes)',
  'no-recording-named': () => 'No hay ninguna grabación con ese nombre.',
  'drop-failed': ({ name, message }) => `${name} no se pudo recibir: ${message}`,
  'file-not-found': ({ name }) => `no hay ningún archivo ${name}`,
  'file-is-folder': ({ name }) => `${name} es una carpeta, no una grabación`,
  'file-unread': ({ name, message }) => `${name} no se pudo leer: ${message}`,
  'recording-version': ({ name, version }) =>
    `${name} es una grabación de versión ${version}; este programa lee la versión 1`,
  'recording-empty': ({ name, header }) =>
    `${name} no es una grabación: su primera línea debería ser "${header}", pero está vacío`,
  'recording-other': ({ name, header, begin }) =>
    `${name} no es una grabación: su primera línea debería ser "${header}", pero empieza por ${begin}`,
  'recording-exists': ({ path }) => `${path} ya existe y no se sobrescribe: elija otro nombre`,
  'recording-in-use': ({ path }) => `una toma en curso está escribiendo ${path}: termínela antes`,
  'recording-no-folder': ({ path }) => `${path} no se puede crear: su carpeta no existe`,
  'recording-uncreated': ({ path, message }) => `${path} no se puede crear: ${message}`,
  'recording-unappended': ({ path, message }) => `no se puede continuar en ${path}: ${message}`,
  'recording-no-room': ({ path }) =>
    `no se puede empezar ${path} ni continuar en él: el disco está lleno. Haga sitio y empiece otra vez`,
  'folder-unmade': ({ folder, message }) => `${folder} no se puede crear: ${message}`,

  'recording-moved': ({ path }) =>
    `la grabación ${path} se ha movido o ha cambiado de nombre; lo que llega se sigue escribiendo en ella, donde está ahora`,
  'recording-removed': ({ path }) =>
    `la grabación ${path}, o su carpeta, se ha borrado; se mantiene abierta y se escribe de nuevo en cuanto su carpeta vuelva a existir`,
  'recording-unseen': ({ path, message }) =>
    `la grabación ${path} ya no se puede ver en su carpeta (${message}); lo que llega se sigue escribiendo en ella. Revise la carpeta antes de que termine el programa`,
  'recording-cut': ({ path }) =>
    `otro programa ha recortado la grabación ${path}: lo que había tras el corte se ha perdido`,
  'recording-went-on': ({ cutPath, path }) =>
    `otro programa ha recortado la grabación ${cutPath}: se deja como está, y la toma continúa en ${path}, con el banco y lo último que se dijo, sin lo medido antes`,
  'goes-on-from': ({ file }) =>
    `Esta grabación continúa la de ${file}, que otro programa recortó durante la toma; lo medido antes no está en ella.`,
  'disk-full': ({ path }) =>
    `la grabación no se puede escribir (el disco está lleno): ${path}. Las líneas se guardan en memoria y se escriben en cuanto se pueda; haga sitio en el disco antes de que termine el programa`,
  'write-failed': ({ path, message }) =>
    `la grabación no se puede escribir (${message}): ${path}. Las líneas se guardan en memoria y se escriben en cuanto se pueda; revise el disco antes de que termine el programa`,
  'recording-cut-short': ({ path, bytes }) =>
    `a ${path} le faltan sus últimos ${bytes} bytes: no se pudieron escribir antes de que terminara el programa`,
  'recording-given-up': ({ path }) =>
    `la grabación no se pudo escribir durante demasiado tiempo: ${path} acaba donde el disco se negó. Empiece una grabación nueva`,
} satisfies Partial<MessageCatalogue>;
