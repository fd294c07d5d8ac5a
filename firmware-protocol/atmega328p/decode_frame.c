#include <ctype.h>
#include <stddef.h>
#include <string.h>

#include "decode.h"

static void read_sample(struct fields *fields, struct sample_frame *sample) {
  sample->seq = (uint16_t)unsigned_field(fields, "seq", UINT16_MAX);
  sample->t_us = unsigned_field(fields, "tUs", UINT32_MAX);
  sample->gal = count_field(fields, "gal");
  sample->pos = count_field(fields, "pos");
  sample->drv = count_field(fields, "drv");
  sample->row = (uint8_t)unsigned_field(fields, "row", ROW_MAX);
  sample->flags = hex_field(fields, "flags");
}

static bool board_name_fits(const char *name) {
  uint8_t length = 0;
  for (; *name; name++) {
    if (!isalnum((uint8_t)*name) && *name != '-') return false;
    length++;
  }
  return length >= 1 && length <= BOARD_NAME_MAX;
}

/* Up to 9 digits and up to 6 decimals, not nought. */
static bool rate_fits(const char *text) {
  uint8_t whole = 0, decimals = 0;
  bool point = false, nonzero = false;
  for (; *text; text++) {
    if (*text == '.' && !point && whole > 0) {
      point = true;
      continue;
    }
    if (!isdigit((uint8_t)*text)) return false;
    if (*text != '0') nonzero = true;
    if (point) decimals++;
    else whole++;
  }
  return nonzero && whole >= 1 && whole <= 9 && decimals <= 6 && (!point || decimals >= 1);
}

static void read_hello(struct fields *fields, struct hello_frame *hello) {
  uint32_t version = unsigned_field(fields, "version", UINT16_MAX);
  if (version != 1) field_fault(fields, VERSION_UNKNOWN, "version");
  hello->board = text_field(fields, "board");
  if (!board_name_fits(hello->board)) field_fault(fields, FIELD_VALUE, "board");
  hello->firmware = text_field(fields, "firmware");
  hello->rate_hz = text_field(fields, "rateHz");
  if (!rate_fits(hello->rate_hz)) field_fault(fields, FIELD_VALUE, "rateHz");
  hello->senses = hex_field(fields, "senses");
}

static void read_channel(struct fields *fields, struct channel_frame *channel) {
  channel->index = (uint8_t)unsigned_field(fields, "index", UINT8_MAX);
  channel->channel = text_field(fields, "channel");
  channel->min_count = signed_field(fields, "minCount");
  channel->max_count = signed_field(fields, "maxCount");
  if (channel->max_count <= channel->min_count) field_fault(fields, FIELD_VALUE, "maxCount");
}

static void read_event(struct fields *fields, struct event_frame *event) {
  event->t_us = unsigned_field(fields, "tUs", UINT32_MAX);
  event->name = text_field(fields, "name");
  event->argument = fields->next == NULL ? NULL : count_text(fields, "argument");
}

static void read_refused(struct fields *fields, struct refused_frame *refused) {
  refused->command = text_field(fields, "command");
  refused->reason = rest_of_line(fields, "reason");
}

static enum frame_type read_payload(struct fields *fields, struct frame *frame) {
  const char *type = text_field(fields, "type");
  switch (type[0] != 0 && type[1] == 0 ? type[0] : 0) {
    case 'S': read_sample(fields, &frame->sample); return FRAME_S;
    case 'H': read_hello(fields, &frame->hello); return FRAME_H;
    case 'C': read_channel(fields, &frame->channel); return FRAME_C;
    case 'E': read_event(fields, &frame->event); return FRAME_E;
    case 'A': frame->command = rest_of_line(fields, "command"); return FRAME_A;
    case 'X': read_refused(fields, &frame->refused); return FRAME_X;
    default: frame->name = type; return FRAME_OTHER;
  }
}

void decode_frame(struct receiver *line, struct frame *frame) {
  struct fields fields;
  fields_begin(&fields, line->bytes);
  fields.fault = unseal(line, false);
  if (fields.fault == NOTHING_WRONG) frame->type = read_payload(&fields, frame);
  frame->fault = fields.fault;
  frame->field = fields.field;
  if (fields.fault != NOTHING_WRONG) frame->type = FRAME_BAD;
}
