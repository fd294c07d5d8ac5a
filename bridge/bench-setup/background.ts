import { Worker } from 'node:worker_threads';
import { message } from '../messages/catalogue.ts';
import type { Done, Job, OneAnswerJob } from './background-jobs.ts';

/** Far beyond the record of the longest run. */
const LONGEST_MIN = 5;
const MOST_HEAP_MB = 1500;

/**
 * What is not live is worked out in threads of their own: a recording that somebody has dropped may take minutes, and the
 * thread that listens to boards must not wait for it.
 */
export class Background {
  readonly #entry: URL;
  readonly #longestMs: number;

  /** `entry`: the built `background-worker.ts`. */
  constructor(entry: URL, longestMin = LONGEST_MIN) {
    this.#entry = entry;
    this.#longestMs = longestMin * 60_000;
  }

  start(job: Job): Worker {
    return new Worker(this.#entry, {
      workerData: job,
      resourceLimits: { maxOldGenerationSizeMb: MOST_HEAP_MB },
    });
  }

  /** Does a job, and gives it up after some minutes, or when the bridge ends. */
  do<Value>(job: OneAnswerJob, ending: AbortSignal): Promise<Done<Value>> {
    if (ending.aborted) return Promise.resolve(BRIDGE_ENDS);
    const worker = this.start(job);
    return new Promise((resolve) => {
      const end = (done: Done<Value>) => {
        clearTimeout(timer);
        ending.removeEventListener('abort', abort);
        resolve(done);
        void worker.terminate();
      };
      const abort = () => end(BRIDGE_ENDS);
      const minutes = String(this.#longestMs / 60_000);
      const timer = setTimeout(
        () => end({ ok: false, ...message('job-given-up', { minutes }) }),
        this.#longestMs,
      );
      ending.addEventListener('abort', abort);
      worker.once('message', end);
      worker.once('error', (error) =>
        end({ ok: false, ...message('bridge-failed', { message: error.message }) }),
      );
    });
  }
}

const BRIDGE_ENDS = { ok: false, ...message('bridge-ends') } as const;
