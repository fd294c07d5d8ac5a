interface ClassValue {
  value: string;
  by: string;
  runs: number;
  benches: number;
}

const runsAt = ({ runs, benches }: ClassValue): string =>
  `${runs} runs at ${benches} ${benches === 1 ? 'bench' : 'benches'}`;

/** What the runs of a class found together, in English. */
export const CLASS_MESSAGES = {
  'measurand-ratio': ({ first, second }: { first: string; second: string }) =>
    `E1/E2, ${first} over ${second}`,
  'measurand-resistance': ({ cell }: { cell: string }) => `r, ${cell}`,
  'measurand-emf': ({ cell }: { cell: string }) => `EMF, ${cell}`,
  'cell-of-bench': ({ cell, bench }: { cell: number; bench: string }) => `cell ${cell} of ${bench}`,
  'bench-unknown': () => 'an unknown bench',

  'class-one-run': ({ value }: { value: string }) => `${value}; 1 run at 1 bench`,
  'class-value': (found: ClassValue) => `${found.value} (${found.by}); ${runsAt(found)}`,
  'class-value-spread': (found: ClassValue) =>
    `${found.value} (${found.by} and standard deviation of single runs); ${runsAt(found)}`,
  'by-median': () => 'median',
  'by-algorithm-a': () => 'algorithm A',
  'repeatability-unknown': () =>
    'how far runs at one bench differ can not be told: no bench has two runs (ISO 5725-2)',
  'repeatability-alone': ({ within }: { within: string }) =>
    `standard deviation of runs at one bench ${within} (ISO 5725-2)`,
  'repeatability-between': ({ within, between }: { within: string; between: string }) =>
    `standard deviation of runs at one bench ${within}, between benches ${between} (ISO 5725-2)`,
  'bench-off': ({ bench, verdict }: { bench: string; verdict: string }) =>
    `${bench} lies off the other benches (Grubbs: ${verdict})`,
  'bench-spreads': ({ bench, verdict }: { bench: string; verdict: string }) =>
    `runs at ${bench} differ by more than elsewhere (Cochran: ${verdict})`,
  'verdict-outlier': () => 'outlier',
  'verdict-straggler': () => 'straggler',
  'bench-says': ({ remark, causes }: { remark: string; causes: readonly string[] }) =>
    `${remark}; its own run says: ${causes.join(' ')}`,
  'bench-says-nothing': ({ remark }: { remark: string }) => `${remark}; its own run names no cause`,
};
