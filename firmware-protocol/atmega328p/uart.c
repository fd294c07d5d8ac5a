#include "uart.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <util/atomic.h>

#include "board.h"

/* 115200 is really 117647 (+2.1 %), 57600 is 57143 (-0.8 %); the other two are exact. */
static const uint32_t bauds[BAUD_CHOICES] PROGMEM = {57600, 115200, 250000, 500000};

#define RX_SIZE 64
static uint8_t tx_ring[256], rx_ring[RX_SIZE];
static volatile uint8_t tx_head, tx_tail, rx_head, rx_tail;
static volatile bool rx_lost;
static uint8_t running;

uint32_t uart_baud(uint8_t choice) { return pgm_read_dword(&bauds[choice]); }

uint32_t uart_running_baud(void) { return uart_baud(running); }

void uart_begin(uint8_t choice) {
  running = choice;
  uint32_t divisor = F_CPU / 8;
  uint32_t baud = uart_baud(choice);
  /* U2X first: on some emulators a write to UCSR0A after enabling the sender loses its empty flag. */
  UCSR0A = _BV(U2X0);
  UBRR0 = (uint16_t)((divisor + baud / 2) / baud - 1);
  UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
  UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
}

uint8_t uart_room(void) { return (uint8_t)(tx_tail - tx_head - 1); }

void uart_send(const struct line *line) {
  uint8_t head = tx_head;
  for (uint8_t at = 0; at < line->length; at++) tx_ring[head++] = (uint8_t)line->bytes[at];
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    tx_head = head;
    UCSR0B |= _BV(UDRIE0);
  }
}

/* The pass that writes the last byte disables itself, so no pass is without a byte. */
ISR(USART_UDRE_vect) {
  UDR0 = tx_ring[tx_tail];
  uint8_t tail = (uint8_t)(tx_tail + 1);
  tx_tail = tail;
  if (tail == tx_head) UCSR0B &= (uint8_t)~_BV(UDRIE0);
}

ISR(USART_RX_vect) {
  bool damaged = UCSR0A & (_BV(FE0) | _BV(DOR0));
  uint8_t byte = UDR0;
  uint8_t next = (rx_head + 1) & (RX_SIZE - 1);
  if (next == rx_tail) {
    rx_lost = true;
    return;
  }
  rx_ring[rx_head] = damaged ? 0 : byte;
  rx_head = next;
}

bool uart_received(void) { return rx_lost || rx_tail != rx_head; }

int16_t uart_take(void) {
  if (rx_lost) {
    rx_lost = false;
    return 0;
  }
  if (rx_tail == rx_head) return -1;
  uint8_t byte = rx_ring[rx_tail];
  rx_tail = (rx_tail + 1) & (RX_SIZE - 1);
  return byte;
}
