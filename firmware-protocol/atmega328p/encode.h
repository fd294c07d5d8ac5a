/* The lines of wire format 1, from a board. */
#ifndef ENCODE_H
#define ENCODE_H

#include "line.h"

void encode_hello(struct line *line, const struct hello_frame *frame);
void encode_channel(struct line *line, const struct channel_frame *frame);
void encode_sample(struct line *line, const struct sample_frame *frame);
void encode_event(struct line *line, const struct event_frame *frame);
void encode_accepted(struct line *line, const char *command);
void encode_refused(struct line *line, const struct refused_frame *frame);

#endif
