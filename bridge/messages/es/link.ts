import type { MessageCatalogue } from '../catalogue.ts';

/** El enlace con la placa y los puertos que no se abren. */
export const link = {
  'link-not-started': () => 'aún sin empezar',
  'link-ended': ({ path, how, wanted }) => `${path}: ${how}; se vuelve a buscar ${wanted}`,
  'link-waiting': ({ wanted, fault }) => `se espera ${wanted}: ${fault}`,
  'link-open': ({ path, wanted }) => `${path} está abierto; se espera ${wanted}`,
  'link-lines': ({ path }) => `llegan líneas de ${path}`,
  'link-board': ({ path, board }) => `placa ${board} en ${path}`,
  'link-remark': ({ path, remark }) => `${path}: ${remark}`,
  'the-board': () => 'la placa',
  'board-unnamed': () => 'una placa sin nombre, solo en su propio puerto (N,banco-4 le da un nombre)',
  'board-named': ({ board }) => `la placa ${board}`,

  'port-gone': () => 'el puerto desapareció',
  'port-closed': () => 'cerrado',
  'nothing-came': ({ seconds }) => `no llegó nada durante ${seconds} s`,
  'other-board': ({ board }) => `ahí responde la placa ${board}`,
  'name-in-use': ({ board, path }) =>
    `una placa ${board} ya habla en ${path}: dé otro nombre a esta (N,otro-nombre en un terminal serie) y vuelva a enchufarla`,
  'nameless-board': () => 'lo que responde ahí no dice qué placa es',
  'rate-refused': ({ rateHz, why }) => `la placa no toma muestras a ${rateHz} Hz: ${why}`,
  'bytes-unreadable': () =>
    'llegan bytes, pero ninguna línea se puede leer: ¿son correctos los baudios (--baud), y es una placa para tenwire?',

  'port-busy': ({ path }) =>
    `${path} lo está usando otro programa (un monitor serie, u otro tenwire): ciérrelo primero`,
  'port-not-found': ({ path }) => `no hay ningún puerto ${path}: ¿está enchufada la placa?`,
  'port-unnamed': () => 'no se ha indicado ningún puerto: «tenwire ports» muestra los que hay',
  'port-forbidden': ({ path, remedy }) => `no tiene permiso para abrir ${path}: ${remedy}`,
  'not-a-port': ({ path }) => `${path} no es un puerto serie`,
  'port-failed': ({ path, message }) => `${path} no se pudo abrir: ${message}`,
  'ask-who-looks-after-it': () => 'pregunte a quien cuida de este ordenador',
  'join-the-group': ({ path }) =>
    `en Linux los puertos son de un grupo, casi siempre dialout (lo dice ls -l ${path}); únase a él con "sudo usermod -aG dialout $USER", cierre la sesión y vuelva a entrar`,

  'as-it-came': ({ words }) => words,
} satisfies Partial<MessageCatalogue>;
