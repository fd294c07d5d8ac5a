#include "commands.h"

#include <stddef.h>
#include <string.h>

#include "announce.h"
#include "decode.h"
#include "encode.h"
#include "sampler.h"
#include "settings.h"
#include "uart.h"

#define BITS_PER_SAMPLE 500

uint16_t rate_max_hz(void) { return (uint16_t)(uart_running_baud() / BITS_PER_SAMPLE); }

static void refuse(struct line *answer, const char *command, const char *reason) {
  struct refused_frame frame = {command, reason};
  encode_refused(answer, &frame);
}

static void refuse_rate(struct line *answer) {
  line_begin(answer, 'X');
  line_text(answer, ",R,from ");
  line_unsigned(answer, RATE_MIN_HZ);
  line_text(answer, " to ");
  line_unsigned(answer, rate_max_hz());
  line_text(answer, " at ");
  line_unsigned(answer, uart_running_baud());
  line_text(answer, " baud");
  line_seal(answer);
}

/* Each of these finds the acceptance in `answer` and replaces it where it refuses. */

static void set_rate(const struct command *command, struct line *answer) {
  bool fits = command->fault == NOTHING_WRONG && command->rate_hz >= RATE_MIN_HZ && command->rate_hz <= rate_max_hz();
  if (!fits) {
    refuse_rate(answer);
    return;
  }
  sampler_set_rate(command->rate_hz);
  announce_all();
}

static void set_name(const struct command *command, struct line *answer) {
  if (command->arguments == NULL || !board_name_fits(command->arguments)) {
    refuse(answer, "N", "a name is 1 to 16 of A-Z a-z 0-9 -");
    return;
  }
  strcpy(settings.board, command->arguments);
  settings_save();
  announce_all();
}

/* The line stays as it is until the next start, so that the answer arrives. */
static void set_baud(const struct command *command, struct line *answer) {
  struct fields fields;
  fields_begin(&fields, command->arguments);
  uint32_t baud = unsigned_field(&fields, "baud", 1000000UL);
  for (uint8_t choice = 0; choice < BAUD_CHOICES; choice++) {
    if (fields.fault != NOTHING_WRONG || uart_baud(choice) != baud) continue;
    settings.baud = choice;
    settings_save();
    return;
  }
  refuse(answer, "B", "57600, 115200, 250000 or 500000; holds from the next start");
}

static void set_wiring(const struct command *command, struct line *answer) {
  struct fields fields;
  fields_begin(&fields, command->arguments);
  uint8_t senses = hex_field(&fields, "senses");
  uint8_t channels = fields.next == NULL ? settings.channels : hex_field(&fields, "channels");
  if (fields.fault != NOTHING_WRONG || senses > SENSE_ALL || channels > CHANNEL_ALL) {
    refuse(answer, "W", "senses 00 to 1F, then channels 00 to 07");
    return;
  }
  settings.senses = senses;
  settings.channels = channels;
  settings_save();
  announce_all();
}

static void carry_out(const struct command *command, struct line *answer) {
  switch (command->name[0] != 0 && command->name[1] == 0 ? command->name[0] : 0) {
    case '?': announce_all(); break;
    case 'R': set_rate(command, answer); break;
    case 'N': set_name(command, answer); break;
    case 'B': set_baud(command, answer); break;
    case 'W': set_wiring(command, answer); break;
    default: refuse(answer, command->name[0] == 0 ? "-" : command->name, "unknown; known are ? R N B W");
  }
}

static bool is_empty(const struct receiver *received) {
  return received->length == 0 || (received->length == 1 && received->bytes[0] == '\r');
}

bool execute(struct receiver *received, struct line *answer) {
  struct command command;
  if (is_empty(received)) return false;
  if (unseal(received, true) != NOTHING_WRONG) {
    refuse(answer, "-", "damaged on the way; send it again");
    return true;
  }
  encode_accepted(answer, received->bytes);
  decode_command_payload(received->bytes, &command);
  carry_out(&command, answer);
  return true;
}
