import type { Figure, Figures } from './figures.ts';

/** The limits of the study. One is missed when the 95 % interval of its figure lies wholly outside it. */

export type Limit = 'coverage' | 'flags' | 'false alarms' | 'error' | 'population' | 'large end';

const atLeast = (figure: Figure, limit: number): boolean => figure.high >= limit;
const atMost = (figure: Figure, limit: number): boolean => figure.low <= limit;

/** What each limit says of the figures, and in words what was missed. */
const RULES: Record<Limit, readonly [holds: (figures: Figures) => boolean, missed: string][]> = {
  coverage: [[({ coverage }) => atLeast(coverage, 0.9), 'coverage below 90 %']],
  flags: [[({ unflagged }) => atMost(unflagged, 0.02), 'unflagged misses above 2 %']],
  'false alarms': [[({ falseAlarms }) => atMost(falseAlarms, 0.05), 'false alarms above 5 %']],
  error: [[errorHolds, 'error above 1.25 times the plain mean and above half the median U']],
  population: [
    [({ coverage }) => atLeast(coverage, 0.93) && atMost(coverage, 0.99), 'coverage outside 93 to 99 %'],
    [({ rmsRatio }) => atMost(rmsRatio, 0.9), 'error above 0.9 times the plain mean'],
    [({ uOverRms }) => atMost(uOverRms, 4), 'median U above 4 times the error'],
  ],
  'large end': [[({ rmsRatio }) => atMost(rmsRatio, 0.7), 'error above 0.7 times the plain mean']],
};

function errorHolds({ rmsRatio, uOverRms }: Figures): boolean {
  return atMost(rmsRatio, 1.25) || uOverRms.high >= 2;
}

/** In words, each limit that the figures miss. */
export const missed = (figures: Figures, limits: readonly Limit[]): string[] =>
  limits.flatMap((limit) => RULES[limit].filter(([holds]) => !holds(figures)).map(([, words]) => words));
