// Writes docs/hardware.md and its circuit anew: node .ci/run-ts.mjs docs/hardware/write-guide.ts
import { readFileSync, writeFileSync } from 'node:fs';
import { drawCircuit } from './circuit.ts';
import { renderGuide } from './render.ts';

const HERE = 'docs/hardware';

writeFileSync('docs/hardware.md', renderGuide(readFileSync(`${HERE}/guide.template.md`, 'utf8')));
writeFileSync(`${HERE}/circuit.svg`, drawCircuit());
