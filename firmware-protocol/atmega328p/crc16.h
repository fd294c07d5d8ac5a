/*
 * CRC-16/CCITT-FALSE. avr-libc's _crc_xmodem_update has its polynomial (0x1021, not reflected); the initial
 * value 0xFFFF makes the difference.
 */
#ifndef CRC16_H
#define CRC16_H

#include <stdint.h>
#include <util/crc16.h>

static inline uint16_t crc16(const char *bytes, uint8_t length) {
  uint16_t crc = 0xFFFF;
  while (length--) crc = _crc_xmodem_update(crc, (uint8_t)*bytes++);
  return crc;
}

#endif
