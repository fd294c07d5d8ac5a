import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import { ACTS } from './adversarial-acts.ts';
import { tallyOf } from './adversarial-tally.ts';

/** False nulls, and real ones missed beside them, for acts whose name holds `only`. `SHOW=5` names some of them. */
export function printAdversarial(runs: number, only: string, formulas: Formulas): void {
  const shown = Number(process.env.SHOW ?? 0);
  console.log('| act | runs | nulls | false nulls | real nulls missed |');
  console.log('| --- | --- | --- | --- | --- |');
  for (const act of ACTS.filter(({ name }) => name.includes(only))) {
    const { nulls, falseNulls, missed } = tallyOf(act, runs, formulas);
    console.log(
      `| ${act.name} | ${runs} | ${nulls} | ${falseNulls.length} | ${act.noNull ? '-' : missed.length} |`,
    );
    for (const line of [...falseNulls.slice(0, shown), ...missed.slice(0, shown)]) console.log(`  ${line}`);
  }
}
