/*
 * Sampling by timer and converter interrupts. Nothing outside can delay it: a sample that finds no place in
 * the queue is counted as overrun and its seq is missing from then on.
 */
#ifndef SAMPLER_H
#define SAMPLER_H

#include <stdbool.h>
#include <stdint.h>

#define RATE_MIN_HZ 4 /* the timer's 16 bits at 4 us */

struct raw_sample {
  uint32_t t_us;
  uint16_t seq, gal, pos, drv; /* counts of COUNT_MIN to COUNT_MAX */
  uint8_t switches;            /* port D, closed switches as 1; contact: closed all through the burst */
  uint8_t row;                 /* port B's row lines, closed as 1 */
};

void sampler_begin(uint16_t rate_hz);

/* From the next sample on. */
void sampler_set_rate(uint16_t rate_hz);
uint16_t sampler_rate_hz(void);

/* Whether there is a sample to take. */
bool sampler_waiting(void);

/* Takes the oldest sample; false for none. */
bool sampler_take(struct raw_sample *sample);

/* Samples dropped since the last call. */
uint16_t sampler_take_overrun(void);

/* Time of the last sample begun, and a number that changes with every sample finished. */
uint32_t sampler_time_us(void);
uint8_t sampler_pulse(void);

#endif
