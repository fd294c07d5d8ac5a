/* The serial line, both ways by interrupt through ring buffers. Nothing here waits. */
#ifndef UART_H
#define UART_H

#include "line.h"

#define BAUD_CHOICES 4

/* Baud rate of a choice (0 to BAUD_CHOICES - 1). */
uint32_t uart_baud(uint8_t choice);

void uart_begin(uint8_t choice);
uint32_t uart_running_baud(void);

/* Bytes that can be queued now. */
uint8_t uart_room(void);

/* Queues a whole line; the caller has seen that there is room. */
void uart_send(const struct line *line);

/* Whether there is anything to take. */
bool uart_received(void);

/* Takes a received byte; -1 for none. A byte that was damaged or lost on the way comes as 0. */
int16_t uart_take(void);

#endif
