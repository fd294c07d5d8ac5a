/* Reading the fields of a payload, the faults of wire format 1 found on the way. */
#ifndef FIELDS_H
#define FIELDS_H

#include "receive.h"

/* Reading stops at the first fault, which stays, with the name of the field (or NULL). */
struct fields {
  char *next; /* what has not been read; NULL at the end */
  enum fault fault;
  const char *field;
};

/*
 * Checks length, CRC and bytes of a received line and cuts it to its payload, ended by a nought byte.
 * With `crc_optional` a line that holds no star is taken as it stands.
 */
enum fault unseal(struct receiver *line, bool crc_optional);

void fields_begin(struct fields *fields, char *payload);

/* Each reads the next field; a value of 0 or an empty text where there was a fault. */
char *text_field(struct fields *fields, const char *name);  /* not empty */
char *count_text(struct fields *fields, const char *name);  /* may be empty */
char *rest_of_line(struct fields *fields, const char *name); /* commas included */
int32_t signed_field(struct fields *fields, const char *name);
uint32_t unsigned_field(struct fields *fields, const char *name, uint32_t most);
uint8_t hex_field(struct fields *fields, const char *name);
struct count count_field(struct fields *fields, const char *name);

void field_fault(struct fields *fields, enum fault fault, const char *name);

#endif
