import { speaker } from '../calc-core/saying.ts';
import { CALCULATION_WORDS } from '../calc-core/words.ts';
import { CONNECTION_WORDS } from './connection-words.ts';
import { DESK_WORDS } from './desk-words.ts';
import { LINK_WORDS } from './link-words.ts';
import { RUN_WORDS } from './run-words.ts';

/**
 * Every sentence that the bridge puts together for a page, in English. What is said goes to the page with its key and
 * values, so that it can be said there in another language. Keys are unique over all tables.
 */
export const WORDS = {
  ...CALCULATION_WORDS,
  ...CONNECTION_WORDS,
  ...DESK_WORDS,
  ...LINK_WORDS,
  ...RUN_WORDS,
};

/** What another language must have. */
export type Words = typeof WORDS;

export const say = speaker(WORDS);
