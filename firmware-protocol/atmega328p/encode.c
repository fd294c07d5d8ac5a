#include "encode.h"

#include <stddef.h>

static void text_field(struct line *line, const char *text) {
  line_char(line, ',');
  line_text(line, text);
}

static void unsigned_field(struct line *line, uint32_t value) {
  line_char(line, ',');
  line_unsigned(line, value);
}

static void signed_field(struct line *line, int32_t value) {
  line_char(line, ',');
  line_signed(line, value);
}

static void count_field(struct line *line, const struct count *count) {
  line_char(line, ',');
  if (count->present) line_signed(line, count->value);
}

static void hex_field(struct line *line, uint8_t value) {
  line_char(line, ',');
  line_hex_byte(line, value);
}

void encode_hello(struct line *line, const struct hello_frame *frame) {
  line_begin(line, 'H');
  unsigned_field(line, 1);
  text_field(line, frame->board);
  text_field(line, frame->firmware);
  text_field(line, frame->rate_hz);
  hex_field(line, frame->senses);
  line_seal(line);
}

void encode_channel(struct line *line, const struct channel_frame *frame) {
  line_begin(line, 'C');
  unsigned_field(line, frame->index);
  text_field(line, frame->channel);
  signed_field(line, frame->min_count);
  signed_field(line, frame->max_count);
  line_seal(line);
}

void encode_sample(struct line *line, const struct sample_frame *frame) {
  line_begin(line, 'S');
  unsigned_field(line, frame->seq);
  unsigned_field(line, frame->t_us);
  count_field(line, &frame->gal);
  count_field(line, &frame->pos);
  count_field(line, &frame->drv);
  unsigned_field(line, frame->row);
  hex_field(line, frame->flags);
  line_seal(line);
}

void encode_event(struct line *line, const struct event_frame *frame) {
  line_begin(line, 'E');
  unsigned_field(line, frame->t_us);
  text_field(line, frame->name);
  if (frame->argument != NULL) text_field(line, frame->argument);
  line_seal(line);
}

void encode_accepted(struct line *line, const char *command) {
  line_begin(line, 'A');
  text_field(line, command);
  line_seal(line);
}

void encode_refused(struct line *line, const struct refused_frame *frame) {
  line_begin(line, 'X');
  text_field(line, frame->command);
  text_field(line, frame->reason);
  line_seal(line);
}
