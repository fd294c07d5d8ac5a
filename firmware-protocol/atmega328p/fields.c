#include "fields.h"

#include <stddef.h>
#include <string.h>

#include "crc16.h"

static int8_t hex_value(char c, bool lower_too) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  if (lower_too && c >= 'a' && c <= 'f') return c - 'a' + 10;
  return -1;
}

static enum fault check_crc(const struct receiver *line, uint8_t star) {
  uint16_t stated = 0;
  for (uint8_t at = star + 1; at < star + 5; at++) {
    int8_t digit = hex_value(line->bytes[at], false);
    if (digit < 0) return NO_CRC;
    stated = stated << 4 | (uint8_t)digit;
  }
  return crc16(line->bytes, star) == stated ? NOTHING_WRONG : CRC_MISMATCH;
}

enum fault unseal(struct receiver *line, bool crc_optional) {
  uint8_t end = line->length;
  if (line->too_long) return TOO_LONG;
  if (end > 0 && line->bytes[end - 1] == '\r') end--;
  if (!crc_optional || memchr(line->bytes, '*', line->length) != NULL) {
    if (end < 5 || line->bytes[end - 5] != '*') return NO_CRC;
    end -= 5;
    enum fault fault = check_crc(line, end);
    if (fault != NOTHING_WRONG) return fault;
  }
  for (uint8_t at = 0; at < end; at++) {
    char c = line->bytes[at];
    if (c < 0x20 || c > 0x7E || c == '*') return BYTE_OUT_OF_RANGE;
  }
  line->bytes[end] = 0;
  return NOTHING_WRONG;
}

void fields_begin(struct fields *fields, char *payload) {
  fields->next = payload;
  fields->fault = NOTHING_WRONG;
  fields->field = NULL;
}

void field_fault(struct fields *fields, enum fault fault, const char *name) {
  if (fields->fault != NOTHING_WRONG) return;
  fields->fault = fault;
  fields->field = name;
}

static char empty[] = "";

char *rest_of_line(struct fields *fields, const char *name) {
  char *rest = fields->next;
  if (rest == NULL) field_fault(fields, FIELD_MISSING, name);
  fields->next = NULL;
  return rest == NULL ? empty : rest;
}

char *count_text(struct fields *fields, const char *name) {
  char *field = fields->next;
  if (field == NULL) {
    field_fault(fields, FIELD_MISSING, name);
    return empty;
  }
  fields->next = strchr(field, ',');
  if (fields->next != NULL) *fields->next++ = 0;
  return field;
}

char *text_field(struct fields *fields, const char *name) {
  char *field = count_text(fields, name);
  if (*field == 0) field_fault(fields, FIELD_VALUE, name);
  return field;
}

/* Decimal digits up to `most`; a fault for anything else. */
static uint32_t digits(struct fields *fields, const char *name, const char *text, uint32_t most) {
  uint32_t value = 0;
  if (*text == 0) field_fault(fields, FIELD_VALUE, name);
  for (; *text; text++) {
    uint8_t digit = (uint8_t)(*text - '0');
    if (digit > 9 || value > (most - digit) / 10) {
      field_fault(fields, FIELD_VALUE, name);
      return 0;
    }
    value = value * 10 + digit;
  }
  return value;
}

static int32_t signed_digits(struct fields *fields, const char *name, const char *text) {
  if (*text != '-') return (int32_t)digits(fields, name, text, INT32_MAX);
  return (int32_t)(0 - digits(fields, name, text + 1, (uint32_t)INT32_MAX + 1));
}

uint32_t unsigned_field(struct fields *fields, const char *name, uint32_t most) {
  return digits(fields, name, count_text(fields, name), most);
}

int32_t signed_field(struct fields *fields, const char *name) {
  return signed_digits(fields, name, count_text(fields, name));
}

struct count count_field(struct fields *fields, const char *name) {
  struct count count = {false, 0};
  const char *text = count_text(fields, name);
  if (*text == 0) return count;
  count.present = true;
  count.value = signed_digits(fields, name, text);
  return count;
}

uint8_t hex_field(struct fields *fields, const char *name) {
  const char *text = count_text(fields, name);
  int8_t high = hex_value(text[0], true);
  int8_t low = high < 0 ? -1 : hex_value(text[1], true);
  if (low < 0 || text[2] != 0) {
    field_fault(fields, FIELD_VALUE, name);
    return 0;
  }
  return (uint8_t)(high << 4 | low);
}
