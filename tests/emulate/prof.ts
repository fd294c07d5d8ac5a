import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { avrInstruction } from 'avr8js';
import { newEeprom, powerOn } from '../../bridge/emulate/chip.ts';
import { readIntelHex } from '../../bridge/emulate/intel-hex.ts';

const d = process.argv[2];
execFileSync('make', ['-s', '-C', 'firmware-protocol/atmega328p', 'OUT=' + d, 'all']);
const hex = readIntelHex(readFileSync(d + '/tenwire.hex', 'latin1'));
if (!hex.ok) throw 1;
const syms = execFileSync('avr-nm', ['-n', d + '/tenwire.elf'], { encoding: 'utf8' })
  .split('\n')
  .filter((l) => / [tTwW] /.test(l))
  .map((l) => ({ a: parseInt(l.slice(0, 8), 16) / 2, n: l.slice(11) }));
const nm = execFileSync('avr-nm', [d + '/tenwire.elf'], { encoding: 'utf8' }).split('\n');
const addr = (n) => parseInt(nm.find((l) => l.endsWith(' ' + n))!.slice(0, 8), 16) & 0xffff;
const fnOf = new Array(0x4000);
let j = 0;
for (let i = 0; i < 0x4000; i++) {
  while (j + 1 < syms.length && syms[j + 1].a <= i) j++;
  fnOf[i] = syms[j].n;
}
const eeprom = newEeprom();
eeprom.memory.set([0xa5, ...Buffer.from('sixteen-letters-'), 0, 3, 0x1f, 7]);
const chip = powerOn(hex.program, eeprom);
const { cpu } = chip;
chip.adc.channelValues.fill(4.9);
const run = (n) => {
  const e = cpu.cycles + n;
  while (cpu.cycles < e) {
    avrInstruction(cpu);
    cpu.tick();
  }
};
run(500000);
cpu.dataView.setUint32(addr('next_us'), 4294000000, true);
cpu.dataView.setUint16(addr('next_seq'), 60000, true);
run(160000);
const h = {};
const s0 = cpu.dataView.getUint16(addr('next_seq'), true);
const e = cpu.cycles + 1600000;
while (cpu.cycles < e) {
  const f = fnOf[cpu.pc],
    c = cpu.cycles;
  avrInstruction(cpu);
  h[f] = (h[f] || 0) + cpu.cycles - c;
  cpu.tick();
}
const n = cpu.dataView.getUint16(addr('next_seq'), true) - s0;
console.log(n, 'samples');
console.log(
  Object.entries(h)
    .sort((a, b) => b[1] - a[1])
    .slice(0, 28)
    .map(([k, v]) => k + ' ' + Math.round(v / n))
    .join('\n'),
);
