import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { printAdversarial } from './adversarial-table.ts';

/** `node .ci/run-ts.mjs tests/study/adversarial.ts [runs] [part of an act's name]`: the adversarial part of the study alone. */

printAdversarial(Number(process.argv[2] ?? 2000), process.argv[3] ?? '', await loadFormulas());
