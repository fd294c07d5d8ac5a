/*
 * tenwire's reference board: samples by interrupt, makes lines in this loop, sends by interrupt. Samples go
 * first; everything else waits until there is room for it and for a sample behind it.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <stddef.h>
#include <stdlib.h>

#include "announce.h"
#include "board.h"
#include "commands.h"
#include "encode.h"
#include "inputs.h"
#include "sampler.h"
#include "settings.h"
#include "uart.h"

#define RATE_DEFAULT_HZ 200
#define SAMPLE_LINE_MAX 45
#define BYTES_PER_TURN 16

static struct receiver received;
static bool received_whole;
static struct line sample_line, other_line; /* a length of 0: none */
static bool marked;
static uint32_t marked_us;

/* A reset by the watchdog leaves it running; it must be stopped before anything else takes time. */
void stop_watchdog(void) __attribute__((naked, used, section(".init3")));
void stop_watchdog(void) {
  MCUSR = 0;
  wdt_disable();
}

static void begin_pins(void) {
  PORTD = SWITCHES_MASK; /* pull-ups */
  PORTB = ROW_MASK;
  DDRB = _BV(PIN_LAMP);
}

/* The mark button held at the start brings the default baud rate back, if another was set that nobody can read. */
static uint8_t baud_at_start(void) {
  for (volatile uint16_t wait = 0; wait < 1000; wait++) continue; /* pull-ups rise */
  return PIND & _BV(PIN_MARK) ? settings.baud : BAUD_DEFAULT;
}

static void show_contact(bool contact) {
  if (contact) PORTB |= _BV(PIN_LAMP);
  else PORTB &= (uint8_t)~_BV(PIN_LAMP);
}

static struct count channel_count(uint8_t channel, uint16_t value) {
  struct count count = {settings.channels & channel, value};
  return count;
}

static void note_mark(uint32_t t_us) {
  marked = true;
  marked_us = t_us;
}

static void make_sample(const struct raw_sample *raw) {
  struct inputs inputs;
  inputs_read(raw, settings.senses, &inputs);
  if (inputs.mark_pressed) note_mark(raw->t_us);
  show_contact(raw->switches & _BV(PIN_CONTACT));
  struct sample_frame sample;
  sample.seq = raw->seq;
  sample.t_us = raw->t_us;
  sample.gal = channel_count(CHANNEL_GAL, raw->gal);
  sample.pos = channel_count(CHANNEL_POS, raw->pos);
  sample.drv = channel_count(CHANNEL_DRV, raw->drv);
  sample.row = inputs.row;
  sample.flags = inputs.flags;
  encode_sample(&sample_line, &sample);
}

static void send_sample(void) {
  struct raw_sample raw;
  if (uart_room() < SAMPLE_LINE_MAX || !sampler_take(&raw)) return;
  GPIOR0 = 1; /* for an emulator that counts cycles; a board does not notice */
  make_sample(&raw);
  uart_send(&sample_line);
  GPIOR0 = 0;
}

static void receive(void) {
  for (uint8_t left = BYTES_PER_TURN; left > 0 && !received_whole; left--) {
    int16_t byte = uart_take();
    if (byte < 0) return;
    received_whole = receiver_take(&received, (char)byte);
  }
}

static bool make_answer(void) {
  if (!received_whole) return false;
  bool has_answer = execute(&received, &other_line);
  receiver_clear(&received);
  received_whole = false;
  return has_answer;
}

static bool make_overrun(void) {
  char number[6];
  uint16_t lost = sampler_take_overrun();
  if (lost == 0) return false;
  utoa(lost, number, 10);
  struct event_frame event = {sampler_time_us(), "overrun", number};
  encode_event(&other_line, &event);
  return true;
}

static bool make_mark(void) {
  if (!marked) return false;
  marked = false;
  struct event_frame event = {marked_us, "mark", NULL};
  encode_event(&other_line, &event);
  return true;
}

static void send_other(void) {
  if (other_line.length == 0) {
    bool made = make_answer() || make_overrun() || make_mark() || announce_next(sampler_time_us(), &other_line);
    if (!made) return;
  }
  if (uart_room() < other_line.length + SAMPLE_LINE_MAX) return;
  uart_send(&other_line);
  other_line.length = 0;
}

/* The watchdog is fed as long as samples keep coming; a stuck converter or timer restarts the board. */
static void feed_watchdog(void) {
  static uint8_t last;
  uint8_t pulse = sampler_pulse();
  if (pulse == last) return;
  last = pulse;
  wdt_reset();
}

/* Sleeps until the next interrupt, unless one has left work meanwhile. */
static void idle(void) {
  cli();
  if (sampler_waiting() || uart_received()) {
    sei();
    return;
  }
  sleep_enable();
  sei();
  sleep_cpu();
  sleep_disable();
}

int main(void) {
  begin_pins();
  settings_load();
  uart_begin(baud_at_start());
  uint16_t most = rate_max_hz();
  sampler_begin(RATE_DEFAULT_HZ < most ? RATE_DEFAULT_HZ : most);
  set_sleep_mode(SLEEP_MODE_IDLE);
  wdt_enable(WDTO_1S);
  sei();
  for (;;) {
    receive();
    send_sample();
    send_other();
    settings_step();
    feed_watchdog();
    idle();
  }
}
