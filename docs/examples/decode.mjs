// A sample as a board sends it, to numbers and back. The numbers are invented.
import { decodeLine, encodeSample } from 'tenwire/firmware-protocol';

const line = encodeSample({ seq: 7, tUs: 35_000, gal: 2048, pos: 1890, drv: 1002, row: 8, flags: 1 });
console.log(line);
console.log(decodeLine(line));
