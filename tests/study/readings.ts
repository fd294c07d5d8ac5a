import { READINGS_SCENES } from './readings-scenes.ts';
import { runReadings } from './readings-summary.ts';

/**
 * `npm run study:readings -- [runs] [part of a scene's name]`: is `uReadCm` the error that the readings leave? Recordings are written by
 * the independent writer and read through the whole fold.
 */

const [runs = 100, only = ''] = process.argv.slice(2);

console.log('| scene | lengths | RMS error, um | median uRead, um | z | 95 % interval holds |');
console.log('| --- | --- | --- | --- | --- | --- |');
for (const scene of READINGS_SCENES.filter(({ name }) => name.includes(only))) {
  const { lengths, missing, rmsUm, medianUm, z, holds, byPlace, said } = runReadings(scene, Number(runs));
  const of = missing === 0 ? `${lengths}` : `${lengths} (${missing} missing)`;
  console.log(
    `| ${scene.name} | ${of} | ${rmsUm.toFixed(0)} | ${medianUm.toFixed(0)} | ${z.toFixed(2)} | ${(100 * holds).toFixed(1)} % |`,
  );
  if (process.argv.includes('--places')) console.log(byPlace, said);
}
