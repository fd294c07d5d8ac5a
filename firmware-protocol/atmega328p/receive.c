#include "receive.h"

void receiver_clear(struct receiver *receiver) {
  receiver->length = 0;
  receiver->too_long = false;
}

bool receiver_take(struct receiver *receiver, char byte) {
  if (byte == '\n') return true;
  if (receiver->length < LINE_MAX_BYTES - 1) receiver->bytes[receiver->length++] = byte;
  else receiver->too_long = true;
  return false;
}
