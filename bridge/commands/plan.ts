import { planBench } from '../bench-setup/plan-bench.ts';
import { loadFormulas } from '../calc-core/formulas.ts';
import type { Plan, PlannedNull, PlannedSet } from '../calc-core/plan.ts';
import { readBenchFile } from './bench-option.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface PlanOptions {
  bench: string;
  /** Smallest and largest resistance of the rheostat, in ohm. */
  rheostat: [number, number];
  driverResistance: number;
  sets: number;
  json: boolean;
}

/** What one sweep with a usual front end leaves of a null, in cm (the study in docs/method.md). */
const U_READ_CM = 0.003;

/** Which settings of the rheostat serve, where the nulls will lie, and what uncertainty to expect. */
export async function plan(options: PlanOptions, terminal: Terminal): Promise<ExitCode> {
  const file = readBenchFile(options.bench);
  if (!file.ok) {
    terminal.note(file.text);
    return 2;
  }
  const wishes = {
    rheostatOhm: options.rheostat,
    driverResistanceOhm: options.driverResistance,
    sets: options.sets,
    uReadCm: U_READ_CM,
  };
  const answer = planBench(file.bench, wishes, await loadFormulas());
  if (!answer.ok) {
    terminal.note(answer.text);
    return 1;
  }
  for (const line of options.json ? [planJson(answer.plan)] : planLines(answer.plan)) terminal.out(line);
  return 0;
}

const cautionTexts = (plan: Plan): string[] => plan.cautions.map((caution) => caution.text);

const planJson = (plan: Plan): string => JSON.stringify({ ...plan, cautions: cautionTexts(plan) }, null, 2);

const HEAD = 'set  rheostat ohm  driver mA   cell 1: length, row, scale        cell 2: length, row, scale';

function planLines(plan: Plan): string[] {
  const { expectedU, heating, sets } = plan;
  return [
    HEAD,
    ...sets.map(setLine),
    '',
    `sensitivity at the nulls: ${sensitivityRange(sets)} uA per mm, protective resistance out`,
    expectedU === null
      ? 'the uncertainty to expect cannot be told from this bench file'
      : `expected U of E1/E2 (95 %): ${expectedU.toPrecision(2)}`,
    `largest current ${heating.largestMa.toFixed(0)} mA: ${heating.wattsPerMetre.toPrecision(2)} W in each metre of wire`,
    ...cautionTexts(plan),
  ];
}

function setLine({ set, rheostatOhm, driverMa, null1, null2 }: PlannedSet): string {
  const numbers = `${String(set).padStart(3)}  ${rheostatOhm.toFixed(2).padStart(12)}  ${driverMa.toFixed(1).padStart(9)}`;
  return `${numbers}   ${placeText(null1).padEnd(32)}  ${placeText(null2)}`;
}

const placeText = ({ lengthCm, row, scaleCm }: PlannedNull): string =>
  `${lengthCm.toFixed(1)} cm, row ${row}, ${scaleCm.toFixed(1)} cm`;

function sensitivityRange(sets: PlannedSet[]): string {
  const all = sets.flatMap(({ null1, null2 }) => [null1.sensitivityUaPerMm, null2.sensitivityUaPerMm]);
  return `${Math.min(...all).toPrecision(2)} to ${Math.max(...all).toPrecision(2)}`;
}
