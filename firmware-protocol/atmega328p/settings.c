#include "settings.h"

#include <avr/eeprom.h>
#include <ctype.h>
#include <string.h>

#include "uart.h"

#define MARKER_WHOLE 0xA5
#define MARKER_BROKEN 0x00

/* In the memory: the marker, then the settings. The marker is broken first and made whole last. */
#define MARKER_AT ((uint8_t *)0)
#define SETTINGS_AT ((uint8_t *)1)
#define STEPS (sizeof(struct settings) + 2)

struct settings settings;
static uint8_t step = STEPS;

bool board_name_fits(const char *name) {
  uint8_t length = 0;
  for (; *name; name++) {
    if (!isalnum((uint8_t)*name) && *name != '-') return false;
    if (++length > BOARD_NAME_MAX) return false;
  }
  return length > 0;
}

static bool sensible(const struct settings *read) {
  return memchr(read->board, 0, sizeof read->board) != NULL && board_name_fits(read->board) &&
         read->baud < BAUD_CHOICES && read->senses <= SENSE_ALL && read->channels <= CHANNEL_ALL;
}

void settings_load(void) {
  eeprom_read_block(&settings, SETTINGS_AT, sizeof settings);
  if (eeprom_read_byte(MARKER_AT) == MARKER_WHOLE && sensible(&settings)) return;
  strcpy(settings.board, "unnamed");
  settings.baud = BAUD_DEFAULT;
  settings.senses = SENSE_ALL;
  settings.channels = CHANNEL_ALL;
}

void settings_save(void) { step = 0; }

void settings_step(void) {
  if (step >= STEPS || !eeprom_is_ready()) return;
  if (step == 0) eeprom_update_byte(MARKER_AT, MARKER_BROKEN);
  else if (step == STEPS - 1) eeprom_update_byte(MARKER_AT, MARKER_WHOLE);
  else eeprom_update_byte(SETTINGS_AT + step - 1, ((const uint8_t *)&settings)[step - 1]);
  step++;
}
