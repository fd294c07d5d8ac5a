import { messageFormatter } from '../calc-core/message.ts';
import { CALCULATION_MESSAGES } from '../calc-core/messages.ts';
import { BENCH_SETUP_MESSAGES } from './bench-setup-messages.ts';
import { CLASS_MESSAGES } from './class-messages.ts';
import { CONNECTION_MESSAGES } from './connection-messages.ts';
import { LINK_MESSAGES } from './link-messages.ts';
import { RUN_MESSAGES } from './run-messages.ts';

/**
 * Every sentence that the bridge puts together for a page, in English. A message goes to the page with its key and
 * values, so that the page can put it into another language. Keys are unique over all tables.
 */
export const MESSAGES = {
  ...CALCULATION_MESSAGES,
  ...CLASS_MESSAGES,
  ...CONNECTION_MESSAGES,
  ...BENCH_SETUP_MESSAGES,
  ...LINK_MESSAGES,
  ...RUN_MESSAGES,
};

/** What another language must have. */
export type MessageCatalogue = typeof MESSAGES;

export const message = messageFormatter(MESSAGES);
