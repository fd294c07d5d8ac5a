/* What wire format 1 says, as C types. ../SPEC.md says it in words. */
#ifndef FRAMES_H
#define FRAMES_H

#include <stdbool.h>
#include <stdint.h>

#define LINE_MAX_BYTES 120 /* CRC and terminators included */
#define BOARD_NAME_MAX 16
#define ROW_MAX 20

#define SENSE_CONTACT 0x01
#define SENSE_CELL 0x02
#define SENSE_PROTECT 0x04
#define SENSE_ROW 0x08
#define SENSE_LOAD 0x10
#define SENSE_ALL 0x1F

#define FLAG_CONTACT 0x01
#define FLAG_CELL_SHIFT 1
#define FLAG_CELL_MASK 0x06
#define FLAG_PROTECT 0x08
#define FLAG_LOAD 0x10

/* A count, or none where the board does not have the channel. */
struct count {
  bool present;
  int32_t value;
};

struct sample_frame {
  uint16_t seq;
  uint32_t t_us;
  struct count gal, pos, drv;
  uint8_t row;
  uint8_t flags;
};

struct hello_frame {
  const char *board;
  const char *firmware;
  const char *rate_hz; /* as text: rates may have decimals */
  uint8_t senses;
};

struct channel_frame {
  uint8_t index;
  const char *channel;
  int32_t min_count, max_count;
};

struct event_frame {
  uint32_t t_us;
  const char *name;
  const char *argument; /* NULL for none */
};

struct refused_frame {
  const char *command;
  const char *reason;
};

enum frame_type { FRAME_BAD, FRAME_OTHER, FRAME_H, FRAME_C, FRAME_S, FRAME_E, FRAME_A, FRAME_X };

/* Why a line was refused; NOTHING_WRONG is 0. */
enum fault {
  NOTHING_WRONG,
  TOO_LONG,
  NO_CRC,
  CRC_MISMATCH,
  BYTE_OUT_OF_RANGE,
  VERSION_UNKNOWN,
  FIELD_MISSING,
  FIELD_VALUE
};

#endif
