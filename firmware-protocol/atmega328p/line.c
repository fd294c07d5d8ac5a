#include "line.h"

#include <stdlib.h>

#include "crc16.h"

#define SEAL_BYTES 6 /* *CRC and line feed */

void line_begin(struct line *line, char type) {
  line->bytes[0] = type;
  line->length = 1;
}

void line_char(struct line *line, char c) {
  if (line->length < LINE_MAX_BYTES - SEAL_BYTES) line->bytes[line->length++] = c;
}

void line_text(struct line *line, const char *text) {
  while (*text) line_char(line, *text++);
}

void line_unsigned(struct line *line, uint32_t value) {
  char digits[11];
  if (value <= UINT16_MAX) utoa((uint16_t)value, digits, 10); /* a third of the time */
  else ultoa(value, digits, 10);
  line_text(line, digits);
}

void line_signed(struct line *line, int32_t value) {
  if (value < 0) line_char(line, '-');
  line_unsigned(line, value < 0 ? 0 - (uint32_t)value : (uint32_t)value);
}

static char hex_digit(uint8_t value) { return value < 10 ? '0' + value : 'A' - 10 + value; }

void line_hex_byte(struct line *line, uint8_t value) {
  line_char(line, hex_digit(value >> 4));
  line_char(line, hex_digit(value & 0x0F));
}

void line_seal(struct line *line) {
  uint16_t crc = crc16(line->bytes, line->length);
  char *end = line->bytes + line->length;
  *end++ = '*';
  *end++ = hex_digit(crc >> 12);
  *end++ = hex_digit((crc >> 8) & 0x0F);
  *end++ = hex_digit((crc >> 4) & 0x0F);
  *end++ = hex_digit(crc & 0x0F);
  *end = '\n';
  line->length += SEAL_BYTES;
}
