#include "line.h"

#include <avr/pgmspace.h>

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

/* Digits by subtraction: a quarter of the cycles that ultoa takes, and numbers are most of a sample's cost. */
static const uint32_t long_tens[] PROGMEM = {1000000000, 100000000, 10000000, 1000000, 100000, 10000};
static const uint16_t short_tens[] PROGMEM = {1000, 100, 10};
#define LONG_TENS 6
#define SHORT_TENS 3

void line_unsigned(struct line *line, uint32_t value) {
  char digits[11];
  char *end = digits;
  for (uint8_t at = value > UINT16_MAX ? 0 : LONG_TENS - 1; at < LONG_TENS; at++) {
    uint32_t ten = pgm_read_dword(&long_tens[at]);
    char digit = '0';
    for (; value >= ten; value -= ten) digit++;
    if (digit != '0' || end != digits) *end++ = digit;
  }
  uint16_t rest = (uint16_t)value;
  for (uint8_t at = 0; at < SHORT_TENS; at++) {
    uint16_t ten = pgm_read_word(&short_tens[at]);
    char digit = '0';
    for (; rest >= ten; rest -= ten) digit++;
    if (digit != '0' || end != digits) *end++ = digit;
  }
  *end++ = (char)('0' + rest);
  *end = 0;
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
