import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { ACTS } from './adversarial-acts.ts';
import { BOARDS, type BoardKind } from './adversarial-scenes.ts';
import { tallyOf } from './adversarial-tally.ts';

/** `npm run study:null adversarial [runs]`: false nulls, and real ones missed beside them. */

const runs = Number(process.argv[2] ?? 2000);
const only = process.argv[3] ?? '';
const formulas = await loadFormulas();
console.log('| act | board | runs | nulls | false nulls | real nulls missed |');
console.log('| --- | --- | --- | --- | --- | --- |');
for (const act of ACTS.filter(({ name }) => name.includes(only))) {
  for (const board of Object.keys(BOARDS) as BoardKind[]) {
    const tally = tallyOf(act, board, runs, formulas);
    const missed = act.noNull ? '-' : `${tally.missed.length}`;
    console.log(
      `| ${act.name} | ${board} | ${runs} | ${tally.nulls} | ${tally.falseNulls.length} | ${missed} |`,
    );
    if (process.env.SHOW !== undefined) {
      for (const line of [...tally.falseNulls, ...tally.missed].slice(0, Number(process.env.SHOW)))
        console.log(`  ${line}`);
    }
  }
}
