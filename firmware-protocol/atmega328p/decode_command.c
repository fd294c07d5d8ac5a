#include <stddef.h>
#include <string.h>

#include "decode.h"

void decode_command_payload(char *payload, struct command *command) {
  struct fields fields;
  fields_begin(&fields, payload);
  command->name = text_field(&fields, "type");
  command->arguments = fields.next;
  command->rate_hz = 0;
  if (strcmp(command->name, "R") == 0) {
    command->rate_hz = (uint16_t)unsigned_field(&fields, "rateHz", UINT16_MAX);
    if (command->rate_hz == 0) field_fault(&fields, FIELD_VALUE, "rateHz");
  }
  command->fault = fields.fault;
  command->field = fields.field;
}

void decode_command(struct receiver *line, struct command *command) {
  enum fault fault = unseal(line, true);
  if (fault == NOTHING_WRONG) {
    decode_command_payload(line->bytes, command);
    return;
  }
  command->name = "";
  command->arguments = NULL;
  command->rate_hz = 0;
  command->fault = fault;
  command->field = NULL;
}
