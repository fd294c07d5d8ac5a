/*
 * Not for a board: runs the codec's C on lines that come over the serial line, for the test that holds it to
 * ../vectors.json. The first byte of each line says what to do; fields of an answer are parted by '|', '-'
 * stands for none. Needs a line ended by a line feed; answers with one.
 */
#include <avr/interrupt.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "crc16.h"
#include "decode.h"
#include "encode.h"
#include "uart.h"

static const char *const faults[] = {"",           "too-long",          "no-crc",          "crc-mismatch",
                                     "byte-out-of-range", "version-unknown", "field-missing", "field-value"};

static void put_text(const char *text) {
  struct line part;
  while (*text) {
    part.length = 0;
    while (*text && part.length < 100) part.bytes[part.length++] = *text++;
    while (uart_room() < part.length) continue;
    uart_send(&part);
  }
}

static void put_number(int32_t value, bool is_signed) {
  char digits[12];
  put_text("|");
  put_text(is_signed ? ltoa(value, digits, 10) : ultoa((uint32_t)value, digits, 10));
}

static void put_count(struct count count) {
  if (count.present) put_number(count.value, true);
  else put_text("|-");
}

static void put_field(const char *text) {
  put_text("|");
  put_text(text == NULL ? "-" : text);
}

static void put_bad(enum fault fault, const char *field) {
  put_text("bad");
  put_field(faults[fault]);
  put_field(field);
}

static void put_sample(const struct sample_frame *sample) {
  put_text("S");
  put_number(sample->seq, false);
  put_number((int32_t)sample->t_us, false);
  put_count(sample->gal);
  put_count(sample->pos);
  put_count(sample->drv);
  put_number(sample->row, false);
  put_number(sample->flags, false);
}

static void put_hello(const struct hello_frame *hello) {
  put_text("H");
  put_field(hello->board);
  put_field(hello->firmware);
  put_field(hello->rate_hz);
  put_number(hello->senses, false);
}

static void put_channel(const struct channel_frame *channel) {
  put_text("C");
  put_number(channel->index, false);
  put_field(channel->channel);
  put_number(channel->min_count, true);
  put_number(channel->max_count, true);
}

static void put_event(const struct event_frame *event) {
  put_text("E");
  put_number((int32_t)event->t_us, false);
  put_field(event->name);
  put_field(event->argument);
}

static void put_frame(const struct frame *frame) {
  switch (frame->type) {
    case FRAME_BAD: put_bad(frame->fault, frame->field); break;
    case FRAME_OTHER: put_text("other"); put_field(frame->name); break;
    case FRAME_S: put_sample(&frame->sample); break;
    case FRAME_H: put_hello(&frame->hello); break;
    case FRAME_C: put_channel(&frame->channel); break;
    case FRAME_E: put_event(&frame->event); break;
    case FRAME_A: put_text("A"); put_field(frame->command); break;
    case FRAME_X: put_text("X"); put_field(frame->refused.command); put_field(frame->refused.reason); break;
  }
}

static void put_command(const struct command *command) {
  if (command->fault != NOTHING_WRONG) {
    put_bad(command->fault, command->field);
    return;
  }
  put_text(strcmp(command->name, "R") == 0 || strcmp(command->name, "?") == 0 ? "" : "other|");
  put_text(command->name);
  if (strcmp(command->name, "R") == 0) put_number(command->rate_hz, false);
}

/* The next field of a request: '-' alone is none. */
static char *next_field(char **rest) {
  char *field = strsep(rest, "|");
  return field == NULL || strcmp(field, "-") == 0 ? NULL : field;
}

static uint32_t next_number(char **rest) {
  const char *field = next_field(rest);
  return field == NULL ? 0 : field[0] == '-' ? (uint32_t)strtol(field, NULL, 10) : strtoul(field, NULL, 10);
}

static struct count next_count(char **rest) {
  const char *field = next_field(rest);
  struct count count = {field != NULL, field == NULL ? 0 : strtol(field, NULL, 10)};
  return count;
}

static void encode_request(char *rest, struct line *line) {
  char type = next_field(&rest)[0];
  if (type == 'S') {
    struct sample_frame sample;
    sample.seq = (uint16_t)next_number(&rest);
    sample.t_us = next_number(&rest);
    sample.gal = next_count(&rest);
    sample.pos = next_count(&rest);
    sample.drv = next_count(&rest);
    sample.row = (uint8_t)next_number(&rest);
    sample.flags = (uint8_t)next_number(&rest);
    encode_sample(line, &sample);
  } else if (type == 'H') {
    struct hello_frame hello;
    hello.board = next_field(&rest);
    hello.firmware = next_field(&rest);
    hello.rate_hz = next_field(&rest);
    hello.senses = (uint8_t)next_number(&rest);
    encode_hello(line, &hello);
  } else if (type == 'C') {
    struct channel_frame channel;
    channel.index = (uint8_t)next_number(&rest);
    channel.channel = next_field(&rest);
    channel.min_count = (int32_t)next_number(&rest);
    channel.max_count = (int32_t)next_number(&rest);
    encode_channel(line, &channel);
  } else if (type == 'E') {
    struct event_frame event;
    event.t_us = next_number(&rest);
    event.name = next_field(&rest);
    event.argument = next_field(&rest);
    encode_event(line, &event);
  } else if (type == 'A') {
    encode_accepted(line, rest);
  } else {
    struct refused_frame refused;
    refused.command = next_field(&rest);
    refused.reason = rest;
    encode_refused(line, &refused);
  }
}

static void answer_encode(struct receiver *request) {
  struct line line;
  request->bytes[request->length] = 0;
  encode_request(request->bytes, &line);
  while (uart_room() < line.length) continue;
  uart_send(&line);
}

static void answer_crc(const struct receiver *request) {
  char digits[6];
  uint16_t crc = crc16(request->bytes, request->length);
  snprintf(digits, sizeof digits, "%04X", crc);
  put_text(digits);
}

static void answer(char what, struct receiver *request) {
  struct frame frame;
  struct command command;
  if (what == 'D') {
    decode_frame(request, &frame);
    put_frame(&frame);
  } else if (what == 'K') {
    decode_command(request, &command);
    put_command(&command);
  } else if (what == 'E') {
    answer_encode(request);
    return; /* a line of the format brings its line feed */
  } else {
    answer_crc(request);
  }
  put_text("\n");
}

int main(void) {
  static struct receiver request;
  uart_begin(3);
  sei();
  receiver_clear(&request);
  for (char what = 0;;) {
    int16_t byte = uart_take();
    if (byte < 0) continue;
    if (what == 0) {
      what = (char)byte;
    } else if (receiver_take(&request, (char)byte)) {
      answer(what, &request);
      receiver_clear(&request);
      what = 0;
    }
  }
}
