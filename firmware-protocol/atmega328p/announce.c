#include "announce.h"

#include <stdlib.h>

#include "board.h"
#include "encode.h"
#include "sampler.h"
#include "settings.h"

#define INTERVAL_US 10000000UL

#define CHANNELS 3
static const char channel_names[CHANNELS][4] = {"gal", "pos", "drv"};

#define NOTHING_DUE 255
static uint8_t next = 0; /* 0: H; then the channels */
static uint32_t last_us;

void announce_all(void) { next = 0; }

static void make_hello(struct line *line) {
  char rate[6];
  utoa(sampler_rate_hz(), rate, 10);
  struct hello_frame hello = {settings.board, FIRMWARE_NAME, rate, settings.senses};
  encode_hello(line, &hello);
}

/* Channels are numbered in their order, those that are not wired left out. */
static void make_channel(uint8_t channel, struct line *line) {
  struct channel_frame frame = {0, channel_names[channel], COUNT_MIN, COUNT_MAX};
  for (uint8_t before = 0; before < channel; before++) {
    if (settings.channels & (1 << before)) frame.index++;
  }
  encode_channel(line, &frame);
}

bool announce_next(uint32_t t_us, struct line *line) {
  if (t_us - last_us >= INTERVAL_US) {
    last_us = t_us;
    next = 0;
  }
  if (next == NOTHING_DUE) return false;
  if (next == 0) {
    make_hello(line);
    next = 1;
    return true;
  }
  while (next <= CHANNELS) {
    uint8_t channel = (uint8_t)(next++ - 1);
    if (!(settings.channels & (1 << channel))) continue;
    make_channel(channel, line);
    return true;
  }
  next = NOTHING_DUE;
  return false;
}
