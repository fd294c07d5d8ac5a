import { labelOf } from './parts-table.ts';
import { drawSheet, type Sheet } from './symbols.ts';

/** The front end's circuit, drawn: docs/hardware/circuit.svg. */
export const drawCircuit = (): string =>
  drawSheet(
    1020,
    660,
    'Circuit of the front end: galvanometer amplifier, dither, mid-rail, position and driver current',
    (sheet) => {
      for (const draw of SECTIONS) draw(sheet);
    },
  );

const SECTIONS = [
  potentiometer,
  galvanometerBranch,
  clamp,
  inputStage,
  differenceStage,
  intoConverter,
  midRail,
  position,
  driverCurrent,
];

/** The wire with driver, fuse, key and rheostat, and the jockey. */
function potentiometer(s: Sheet): void {
  s.wires(
    'M50 150V60H68 M112 60H140 M148 60H172 M200 60H222 M222 60L244 48 M248 60H330V84 M330 128V150',
    'M50 150H330 M190 152L184 168H196L190 152 M190 168V200',
  );
  s.dots([222, 60], [248, 60], [50, 150]);
  s.text(120, 24, 'potentiometer circuit', 'middle', 14);
  s.resistor(90, 60, labelOf('R11'));
  s.cell(144, 60, 'driver');
  s.resistor(186, 60, 'F1', { width: 28 });
  s.text(235, 40, 'key');
  s.resistorUp(330, 106, 'rheostat');
  s.path('M70 150H310', 'stroke-width="4"');
  s.text(38, 155, 'A', 'end');
  s.text(342, 155, 'B', 'start');
  s.text(250, 142, 'wire');
  s.text(202, 176, 'jockey', 'start');
}

/** Coil, shunt, protective resistance, two-way key, cells. */
function galvanometerBranch(s: Sheet): void {
  s.wires(
    'M190 232V312 M168 312H190 M132 312H112 M176 312V336H162 M124 312V336H138',
    'M138 336L158 326 M112 312L94 294 M90 290H74 M90 334H74 M66 290H24 M66 334H24',
    'M24 334V250 M24 206V168L50 150',
  );
  s.dots([24, 290], [176, 312], [124, 312], [162, 336], [138, 336], [112, 312], [90, 290], [90, 334]);
  s.circle(190, 216, 16, '#ffffff');
  s.text(190, 221, 'G');
  s.resistorUp(24, 228, labelOf('R1'));
  s.text(14, 276, 'P', 'end');
  s.resistor(150, 312, '', { width: 36 });
  s.text(150, 296, 'Rp');
  s.text(150, 354, 'short', 'middle', 12);
  s.text(88, 262, 'two-way key', 'middle', 12);
  s.cell(70, 290, '');
  s.cell(70, 334, '');
  s.text(58, 282, '1', 'end');
  s.text(58, 326, '2', 'end');
}

/** Diodes over the shunt, head to tail, where its two ends go to the amplifier. */
function clamp(s: Sheet): void {
  s.wires('M236 230H330 M236 372H330 M250 230V284 M250 304V372 M290 230V284 M290 304V372');
  s.dots([250, 230], [290, 230], [250, 372], [290, 372]);
  s.pin(232, 230, '');
  s.text(224, 235, 'A', 'end');
  s.pin(232, 372, '');
  s.text(224, 377, 'P', 'end');
  s.path('M241 284H259L250 304ZM241 304H259', 'fill="#ffffff"');
  s.path('M281 304H299L290 284ZM281 284H299', 'fill="#ffffff"');
  s.text(244, 262, 'D1', 'end', 12);
  s.text(302, 262, 'D2', 'start', 12);
}

/** Galvanometer amplifier: inputs and gain. */
function inputStage(s: Sheet): void {
  s.wires(
    'M374 230H420 M374 372H420 M480 215H560',
    'M480 387H560 M510 215V236 M510 276V284 M510 318V326 M510 366V387 M510 280H400V200H420',
    'M510 322H400V402H420',
  );
  s.dots([510, 215], [510, 387], [510, 280], [510, 322]);
  s.resistor(352, 230, labelOf('R2'));
  s.resistor(352, 372, labelOf('R3'), { below: true });
  s.amplifier(420, 215, 'A1');
  s.amplifier(420, 387, 'A2', true);
  s.resistorUp(510, 256, labelOf('R4'), { height: 40 });
  s.resistorUp(510, 301, labelOf('R6'), { height: 34 });
  s.resistorUp(510, 346, labelOf('R5'), { height: 40 });
}

/** Galvanometer amplifier: difference and low-pass. */
function differenceStage(s: Sheet): void {
  s.wires(
    'M604 215H640 M604 387H640 M640 215V286H660 M640 387V316H660 M720 301H790 M640 215V180H668',
    'M712 180H740V301 M640 180V150H686 M694 150H740V180 M640 387V420 M640 464V490',
    'M640 412H690V434 M690 442V480H640',
  );
  s.dots([640, 215], [640, 387], [740, 301], [640, 180], [740, 180], [640, 412], [640, 480], [640, 490]);
  s.resistor(582, 215, labelOf('R7'));
  s.resistor(582, 387, labelOf('R8'), { below: true });
  s.amplifier(660, 301, 'A3');
  s.resistor(690, 180, '');
  s.text(690, 201, labelOf('R9'));
  s.capacitor(690, 150);
  s.text(680, 145, labelOf('C1'), 'end');
  s.resistorUp(640, 442, labelOf('R10'), { left: true });
  s.capacitorUp(690, 438, labelOf('C2'));
  s.text(640, 508, 'mid-rail');
}

/** Into the converter, with the dither ladder. */
function intoConverter(s: Sheet): void {
  s.wires(
    'M834 301H900 M850 301V330 M850 338V356 M880 301V250 M880 206V120 M880 120H700 M600 112H640',
    'M600 120H640 M600 128H640 M880 120H930',
  );
  s.dots([850, 301], [880, 301], [880, 120]);
  s.resistor(812, 301, labelOf('R12'));
  s.pin(904, 301, 'PC0');
  s.capacitorUp(850, 334, labelOf('C3'));
  s.ground(850, 356);
  s.resistorUp(880, 228, labelOf('R15'), { left: true });
  s.text(900, 100, `dither ladder: ${labelOf('R18')} to R21, ${labelOf('R22')}, R23`, 'end');
  s.box(640, 106, 60, 28, 'R-2R');
  s.text(594, 125, 'PC3, PC4, PC5', 'end');
  s.text(936, 125, 'to R16, R17', 'start', 12);
}

function midRail(s: Sheet): void {
  s.wires(
    'M50 440V450 M50 494V514 M50 558V566 M50 504H100V519H110 M170 504H230 M196 504V470H96V489H110',
    'M215 504V540 M215 540H240 M284 540H320',
  );
  s.dots([50, 504], [196, 504], [215, 504]);
  s.text(120, 420, 'mid-rail', 'middle', 14);
  s.resistorUp(50, 472, '');
  s.resistorUp(50, 536, '');
  s.text(64, 462, labelOf('R26'), 'start');
  s.text(64, 554, labelOf('R27'), 'start');
  s.ground(50, 566);
  s.text(50, 434, '+ supply');
  s.amplifier(110, 504, 'A4');
  s.text(236, 509, 'mid-rail', 'start');
  s.resistor(262, 540, labelOf('R28'), { below: true });
  s.text(326, 545, 'A', 'start');
}

function position(s: Sheet): void {
  s.wires(
    'M400 488V492 M400 523V530 M400 578V584 M400 615V622 M412 554H450V569H460 M520 554H560',
    'M540 554V520H446V539H460 M604 554H660 M630 554V574 M630 582V600',
  );
  s.dots([540, 554], [630, 554]);
  s.text(460, 470, 'position', 'middle', 14);
  s.text(400, 484, '+ supply');
  s.resistorUp(400, 508, labelOf('R24'), { height: 30, left: true });
  s.resistorUp(400, 554, labelOf('P1'), { height: 48, left: true });
  s.resistorUp(400, 600, labelOf('R25'), { height: 30, left: true });
  s.ground(400, 622);
  s.path('M408 554l9-4v8z', 'fill="#333333"');
  s.amplifier(460, 554, 'A5');
  s.resistor(582, 554, labelOf('R13'));
  s.pin(664, 554, 'PC1');
  s.capacitorUp(630, 578, labelOf('C4'));
  s.ground(630, 600);
}

/** Difference amplifier over the driver's shunt; R32 and R33 lift it off nought. */
function driverCurrent(s: Sheet): void {
  s.wires(
    'M708 539H720 M764 539H800 M708 569H720 M764 569H800 M860 554H890 M934 554H960 M946 554V574 M946 582V600',
    'M790 569V612H806 M850 612H874V554 M780 539V500H908 M880 500V494 M880 450V444 M952 500H972V508',
  );
  s.dots([946, 554], [790, 569], [874, 554], [780, 539], [880, 500]);
  s.text(930, 412, 'driver current', 'middle', 14);
  s.text(702, 544, 'R11', 'end', 12);
  s.text(702, 574, 'A', 'end', 12);
  s.resistor(742, 539, '');
  s.text(742, 528, labelOf('R30'), 'middle', 12);
  s.resistor(742, 569, labelOf('R29'), { below: true });
  s.amplifier(800, 554, 'A6', true);
  s.resistor(828, 612, labelOf('R31'), { below: true });
  s.resistorUp(880, 472, labelOf('R32'), { left: true });
  s.text(880, 438, '+ supply');
  s.resistor(930, 500, labelOf('R33'), { below: true });
  s.ground(972, 508);
  s.resistor(912, 554, labelOf('R14'));
  s.pin(964, 554, 'PC2');
  s.capacitorUp(946, 578, labelOf('C5'));
  s.ground(946, 600);
}
