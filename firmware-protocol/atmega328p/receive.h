/* Gathering the bytes of one line, whatever comes, within a bounded buffer. */
#ifndef RECEIVE_H
#define RECEIVE_H

#include "frames.h"

struct receiver {
  char bytes[LINE_MAX_BYTES]; /* the line, its line feed removed; may end in a carriage return */
  uint8_t length;
  bool too_long;
};

void receiver_clear(struct receiver *receiver);

/* Takes one byte; true when it ended a line, which then stands in `bytes` until receiver_clear. */
bool receiver_take(struct receiver *receiver, char byte);

#endif
