/* Keys, row and button of the bench, from raw samples. */
#ifndef INPUTS_H
#define INPUTS_H

#include "sampler.h"

/* The `flags` and `row` of the sample, of what `senses` says is wired. */
struct inputs {
  uint8_t flags, row;
  bool mark_pressed; /* true once a press */
};

void inputs_read(const struct raw_sample *sample, uint8_t senses, struct inputs *inputs);

#endif
