import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { tally } from './tally.ts';
import { SAMPLED_SCENES, sampledTrial } from './through-samples.ts';
const formulas = await loadFormulas();
const k = 5;
console.log(tally(Array.from({length:200},(_,run)=>sampledTrial(SAMPLED_SCENES[k],1_000_000+k*10_000+run,formulas))));
