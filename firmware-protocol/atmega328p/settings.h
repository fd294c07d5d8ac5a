/* What the board keeps without power. Saving takes 3.4 ms a byte, so it is done a byte at a time. */
#ifndef SETTINGS_H
#define SETTINGS_H

#include "frames.h"

#define CHANNEL_GAL 0x01
#define CHANNEL_POS 0x02
#define CHANNEL_DRV 0x04
#define CHANNEL_ALL 0x07

#define BAUD_DEFAULT 1 /* 115200 */

struct settings {
  char board[BOARD_NAME_MAX + 1];
  uint8_t baud; /* a choice of uart.h */
  uint8_t senses;
  uint8_t channels;
};

extern struct settings settings;

/* Reads them; defaults where the memory is empty, or a power cut came in the middle of saving. */
void settings_load(void);

void settings_save(void);

/* Does a byte of what is left of saving, if the memory is ready. */
void settings_step(void);

bool board_name_fits(const char *name);

#endif
