/** Lines as formats.md asks for them, written by the outside writer for itself. */

/** CRC-16/CCITT-FALSE, bit by bit: polynomial 0x1021, initial value 0xFFFF. */
export function ccittFalse(payload: string): string {
  let register = 0xffff;
  for (const character of payload) {
    for (let bit = 7; bit >= 0; bit -= 1) {
      const incoming = (character.charCodeAt(0) >> bit) & 1;
      const top = (register >> 15) & 1;
      register = (register << 1) & 0xffff;
      if (incoming !== top) register ^= 0x1021;
    }
  }
  return register.toString(16).toUpperCase().padStart(4, '0');
}

export const sealed = (payload: string): string => `${payload}*${ccittFalse(payload)}`;

/** A board line as a recording keeps it: bytes outside 0x20 to 0x7E and backslashes escaped. */
export function escaped(line: string): string {
  let text = '';
  for (const character of line) {
    const byte = character.charCodeAt(0);
    if (character === '\\') text += '\\\\';
    else if (byte < 0x20 || byte > 0x7e) text += `\\x${byte.toString(16).toUpperCase().padStart(2, '0')}`;
    else text += character;
  }
  return text;
}
