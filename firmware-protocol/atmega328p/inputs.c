#include "inputs.h"

#include "board.h"
#include "frames.h"

#define SETTLE_US 20000UL

/* A value counts once it has been seen unchanged for SETTLE_US. */
struct settled {
  bool begun;
  uint8_t value, candidate;
  uint32_t since_us;
};

static struct settled cell, protect, load, row, mark;

static uint8_t settle(struct settled *of, uint8_t seen, uint32_t t_us) {
  if (!of->begun) {
    of->begun = true;
    of->value = of->candidate = seen;
  }
  if (seen != of->candidate) {
    of->candidate = seen;
    of->since_us = t_us;
  } else if (seen != of->value && t_us - of->since_us >= SETTLE_US) {
    of->value = seen;
  }
  return of->value;
}

/* The resistance is out while its shorting key is closed. "In" is believed at once, "out" once it is steady. */
static bool protect_in(bool in, uint32_t t_us) {
  if (in) protect.value = protect.candidate = protect.begun = true;
  return settle(&protect, in, t_us);
}

static uint8_t row_number(uint8_t lines) { return lines <= ROW_MAX ? lines : 0; }

static bool mark_edge(bool pressed, uint32_t t_us) {
  bool before = mark.value;
  return settle(&mark, pressed, t_us) && !before;
}

void inputs_read(const struct raw_sample *sample, uint8_t senses, struct inputs *inputs) {
  uint8_t closed = sample->switches;
  uint32_t t_us = sample->t_us;
  uint8_t seen_cell = (closed & _BV(PIN_CELL_1) ? 1 : 0) | (closed & _BV(PIN_CELL_2) ? 2 : 0);
  uint8_t settled_cell = settle(&cell, seen_cell, t_us);
  uint8_t flags = 0;
  /* contact is never delayed: a sample in the air must not pass for one on the wire */
  if (senses & SENSE_CONTACT && closed & _BV(PIN_CONTACT)) flags |= FLAG_CONTACT;
  if (senses & SENSE_CELL) flags |= settled_cell << FLAG_CELL_SHIFT;
  if (protect_in(!(closed & _BV(PIN_PROTECT)), t_us) && senses & SENSE_PROTECT) flags |= FLAG_PROTECT;
  if (settle(&load, closed & _BV(PIN_LOAD) ? 1 : 0, t_us) && senses & SENSE_LOAD) flags |= FLAG_LOAD;
  inputs->flags = flags;
  inputs->row = row_number(settle(&row, sample->row, t_us));
  if (!(senses & SENSE_ROW)) inputs->row = 0;
  inputs->mark_pressed = mark_edge(closed & _BV(PIN_MARK), t_us);
}
