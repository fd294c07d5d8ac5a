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
  s.resistor(90, 60, 'R11');
  s.cell(144, 60, 'driver');
  s.resistor(186, 60, 'fuse', { width: 28 });
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
    'M190 232V250 M190 294V312 M168 312H190 M132 312H112 M176 312V336H162 M124 312V336H138',
    'M138 336L158 326 M112 312L94 294 M90 290H74 M90 334H74 M66 290H24 M66 334H24',
    'M24 334V168L50 150',
  );
  s.dots(
    [190, 250],
    [190, 312],
    [176, 312],
    [124, 312],
    [162, 336],
    [138, 336],
    [112, 312],
    [90, 290],
    [90, 334],
  );
  s.circle(190, 216, 16, '#ffffff');
  s.text(190, 221, 'G');
  s.resistorUp(190, 272, '');
  s.text(176, 277, 'R1', 'end');
  s.resistor(150, 312, '', { width: 36 });
  s.text(150, 296, 'Rp');
  s.text(150, 354, 'short', 'middle', 12);
  s.text(88, 262, 'two-way key', 'middle', 12);
  s.cell(70, 290, '');
  s.cell(70, 334, '');
  s.text(58, 282, '1', 'end');
  s.text(58, 326, '2', 'end');
}

/** Diodes over coil and shunt, head to tail. */
function clamp(s: Sheet): void {
  s.wires(
    'M190 190H250V206 M190 312V330H250V306 M236 206H264 M236 306H264 M236 206V240 M236 260V306',
    'M264 206V240 M264 260V306',
  );
  s.dots([190, 190], [190, 312]);
  s.path('M227 240H245L236 260ZM227 260H245', 'fill="#ffffff"');
  s.path('M255 260H273L264 240ZM255 240H273', 'fill="#ffffff"');
  s.text(224, 222, 'D1', 'middle', 12);
  s.text(276, 222, 'D2', 'middle', 12);
}

/** Galvanometer amplifier: inputs and gain. */
function inputStage(s: Sheet): void {
  s.wires(
    'M190 250H216 M190 312H310V230H330 M374 230H420 M216 250V372H330 M374 372H420 M480 215H560',
    'M480 387H560 M510 215V236 M510 276V284 M510 318V326 M510 366V387 M510 280H400V200H420',
    'M510 322H400V402H420',
  );
  s.dots([190, 312], [510, 215], [510, 387], [510, 280], [510, 322]);
  s.resistor(352, 230, 'R2');
  s.resistor(352, 372, 'R3', { below: true });
  s.amplifier(420, 215, 'A1');
  s.amplifier(420, 387, 'A2', true);
  s.resistorUp(510, 256, 'R4', { height: 40 });
  s.resistorUp(510, 301, 'R6', { height: 34 });
  s.resistorUp(510, 346, 'R5', { height: 40 });
}

/** Galvanometer amplifier: difference and low-pass. */
function differenceStage(s: Sheet): void {
  s.wires(
    'M604 215H640 M604 387H640 M640 215V286H660 M640 387V316H660 M720 301H790 M640 215V180H668',
    'M712 180H740V301 M640 180V150H686 M694 150H740V180 M640 387V420 M640 464V490',
    'M640 412H690V434 M690 442V480H640',
  );
  s.dots([640, 215], [640, 387], [740, 301], [640, 180], [740, 180], [640, 412], [640, 480], [640, 490]);
  s.resistor(582, 215, 'R7');
  s.resistor(582, 387, 'R8', { below: true });
  s.amplifier(660, 301, 'A3');
  s.resistor(690, 180, '');
  s.text(690, 201, 'R9');
  s.capacitor(690, 150);
  s.text(712, 143, 'C1');
  s.resistorUp(640, 442, 'R10', { left: true });
  s.capacitorUp(690, 438, 'C2');
  s.text(640, 508, 'mid-rail');
}

/** Into the converter, with the dither ladder. */
function intoConverter(s: Sheet): void {
  s.wires(
    'M834 301H900 M850 301V330 M850 338V356 M880 301V250 M880 206V120 M880 120H700 M600 112H640',
    'M600 120H640 M600 128H640 M880 120H930',
  );
  s.dots([850, 301], [880, 301], [880, 120]);
  s.resistor(812, 301, 'R12');
  s.pin(904, 301, 'PC0');
  s.capacitorUp(850, 334, 'C3');
  s.ground(850, 356);
  s.resistorUp(880, 228, 'R15', { left: true });
  s.text(900, 100, 'dither ladder R18 to R23 (R-2R)', 'end');
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
  s.resistorUp(50, 472, 'R26', { left: true });
  s.resistorUp(50, 536, 'R27', { left: true });
  s.ground(50, 566);
  s.text(50, 434, '+ supply');
  s.amplifier(110, 504, 'A4');
  s.text(236, 509, 'mid-rail', 'start');
  s.resistor(262, 540, 'R28', { below: true });
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
  s.resistorUp(400, 508, 'R24', { height: 30, left: true });
  s.resistorUp(400, 554, 'P1', { height: 48, left: true });
  s.resistorUp(400, 600, 'R25', { height: 30, left: true });
  s.ground(400, 622);
  s.path('M408 554l9-4v8z', 'fill="#333333"');
  s.amplifier(460, 554, 'A5');
  s.resistor(582, 554, 'R13');
  s.pin(664, 554, 'PC1');
  s.capacitorUp(630, 578, 'C4');
  s.ground(630, 600);
}

function driverCurrent(s: Sheet): void {
  s.wires('M730 539H760 M730 569H760 M820 554H840 M884 554H910 M896 554V574 M896 582V600');
  s.dots([896, 554]);
  s.text(820, 470, 'driver current', 'middle', 14);
  s.text(724, 544, 'R11, driver side', 'end', 12);
  s.text(724, 574, 'A', 'end', 12);
  s.amplifier(760, 554, 'A6', true);
  s.resistor(862, 554, 'R14');
  s.pin(914, 554, 'PC2');
  s.capacitorUp(896, 578, 'C5');
  s.ground(896, 600);
}
