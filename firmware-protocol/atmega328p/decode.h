/* Lines of wire format 1, read. A board needs decode_command only; decode_frame is for one that listens. */
#ifndef DECODE_H
#define DECODE_H

#include "fields.h"

struct frame {
  enum frame_type type;
  union {
    struct sample_frame sample;
    struct hello_frame hello;
    struct channel_frame channel;
    struct event_frame event;
    struct refused_frame refused;
    const char *command; /* FRAME_A */
    const char *name;    /* FRAME_OTHER */
  };
  enum fault fault; /* FRAME_BAD */
  const char *field;
};

/* Texts of the frame point into the line, which is cut up. */
void decode_frame(struct receiver *line, struct frame *frame);

struct command {
  enum fault fault; /* with `field`, where the line is not a command */
  const char *field;
  const char *name;       /* the command's first field */
  char *arguments;        /* what stands behind it, NULL for nothing */
  uint16_t rate_hz;       /* of R */
};

void decode_command(struct receiver *line, struct command *command);

/* The same for a payload whose line has been unsealed. */
void decode_command_payload(char *payload, struct command *command);

#endif
