/* Building one line: payload, CRC and line feed, in a buffer of the caller's. */
#ifndef LINE_H
#define LINE_H

#include "frames.h"

struct line {
  char bytes[LINE_MAX_BYTES];
  uint8_t length;
};

void line_begin(struct line *line, char type);
void line_char(struct line *line, char c);
void line_text(struct line *line, const char *text);
void line_unsigned(struct line *line, uint32_t value);
void line_signed(struct line *line, int32_t value);
void line_hex_byte(struct line *line, uint8_t value);

/* Adds CRC and line feed. What would not fit was left out, so the line is always sound. */
void line_seal(struct line *line);

#endif
