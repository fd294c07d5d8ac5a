import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';

setFlagsFromString('--expose-gc');

/** A full collection, so that what is held can be told from what is only not yet thrown away. */
export const collectGarbage = runInNewContext('gc') as () => void;
