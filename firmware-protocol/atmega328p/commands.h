/* What the board does with a line that it received. */
#ifndef COMMANDS_H
#define COMMANDS_H

#include "line.h"
#include "receive.h"

/* The highest rate that the line carries: ten bits a byte, 45 bytes a sample at most, a tenth in reserve. */
uint16_t rate_max_hz(void);

/* Carries out a command and makes the answer; false for an empty line, which has none. */
bool execute(struct receiver *received, struct line *answer);

#endif
