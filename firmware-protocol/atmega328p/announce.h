/* H and C lines: at boot, when asked for, every ten seconds; one at a time, between samples. */
#ifndef ANNOUNCE_H
#define ANNOUNCE_H

#include "line.h"

void announce_all(void);

/* Makes the next line that is due; false for none. */
bool announce_next(uint32_t t_us, struct line *line);

#endif
