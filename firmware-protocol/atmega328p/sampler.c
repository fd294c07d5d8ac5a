#include "sampler.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "board.h"

/*
 * A sample is a burst of conversions whose order is the same forwards and backwards, so that all three
 * channels average about one instant. The galvanometer and the jockey's position get most of them.
 */
static const uint8_t block_of_9[9] = {ADC_GAL, ADC_POS, ADC_POS, ADC_GAL, ADC_DRV,
                                      ADC_GAL, ADC_POS, ADC_POS, ADC_GAL};
static const uint8_t block_of_5[5] = {ADC_GAL, ADC_POS, ADC_DRV, ADC_POS, ADC_GAL};

/*
 * Dither: eighths of a step of the converter, added before each conversion of a channel, so that the mean of
 * several resolves what one can't. In this order any first 2, 4 or 8 of them are spread evenly.
 */
static const uint8_t dither[8] = {0 << DITHER_SHIFT, 4 << DITHER_SHIFT, 2 << DITHER_SHIFT, 6 << DITHER_SHIFT,
                                  1 << DITHER_SHIFT, 5 << DITHER_SHIFT, 3 << DITHER_SHIFT, 7 << DITHER_SHIFT};

struct plan {
  uint16_t rate_hz, ticks, remainder; /* ticks + remainder / rate_hz is the period */
  const uint8_t *block;
  uint8_t block_length, conversions;
  uint8_t scale, drv_scale; /* count = sum * scale / 4 brings the sum of any number to 12 bits */
};

static struct plan plan, wanted;
static volatile bool plan_changed;

static uint16_t carried;
static uint32_t next_us;
static uint16_t next_seq;
static struct {
  bool running;
  uint32_t t_us;
  uint16_t seq;
  uint8_t left, at, contact;
  uint8_t dithered[3]; /* goes on from burst to burst, so that several samples resolve more than one */
  uint8_t at_bottom, at_top; /* a bit for each channel that saw an end of the converter's span */
  uint16_t sum[3];
} burst;

#define QUEUE_SIZE 8
static struct raw_sample queue[QUEUE_SIZE];
static volatile uint8_t queue_head, queue_tail, pulse;
static volatile uint16_t overrun;

/* As many conversions as end within nine tenths of the period. */
static void choose_burst(struct plan *of) {
  uint32_t room_us = 900000UL / of->rate_hz;
  uint8_t blocks = 4;
  while (blocks > 1 && blocks * 9 * CONVERSION_US > room_us) blocks /= 2;
  bool short_block = 9 * CONVERSION_US > room_us;
  of->block = short_block ? block_of_5 : block_of_9;
  of->block_length = short_block ? sizeof block_of_5 : sizeof block_of_9;
  of->conversions = of->block_length * blocks;
  of->scale = short_block ? 8 : 4 / blocks;
  of->drv_scale = 16 / blocks;
}

void sampler_set_rate(uint16_t rate_hz) {
  struct plan made;
  made.rate_hz = rate_hz;
  made.ticks = (uint16_t)(TICKS_PER_SECOND / rate_hz);
  made.remainder = (uint16_t)(TICKS_PER_SECOND % rate_hz);
  choose_burst(&made);
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    wanted = made;
    plan_changed = true;
  }
}

uint16_t sampler_rate_hz(void) { return wanted.rate_hz; }

void sampler_begin(uint16_t rate_hz) {
  sampler_set_rate(rate_hz);
  DDRC = DITHER_MASK;
  DIDR0 = _BV(ADC_GAL) | _BV(ADC_POS) | _BV(ADC_DRV);
  ADMUX = _BV(REFS0) | ADC_GAL; /* against the supply, as the bridge circuits are */
  ADCSRA = _BV(ADEN) | _BV(ADIE) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0);
  TCCR1A = 0;
  TCCR1B = _BV(CS11) | _BV(CS10);
  OCR1A = wanted.ticks;
  next_us = (uint32_t)wanted.ticks * TICK_US;
  TIMSK1 = _BV(OCIE1A);
}

static inline __attribute__((always_inline)) void start_conversion(uint8_t channel) {
  PORTC = dither[burst.dithered[channel]++ & 7];
  ADMUX = _BV(REFS0) | channel;
  ADCSRA |= _BV(ADSC);
}

static uint8_t closed_switches(void) { return (uint8_t)~PIND & SWITCHES_MASK; }

/* Ticks to the next sample; what the division left over is carried, so that the mean rate is exact. */
static uint16_t next_ticks(void) {
  carried += plan.remainder;
  if (carried < plan.rate_hz) return plan.ticks;
  carried -= plan.rate_hz;
  return plan.ticks + 1;
}

static void start_burst(uint32_t t_us, uint16_t seq) {
  burst.running = true;
  burst.t_us = t_us;
  burst.seq = seq;
  burst.left = plan.conversions;
  burst.at = 0;
  burst.contact = closed_switches();
  burst.at_bottom = burst.at_top = 0;
  burst.sum[ADC_GAL] = burst.sum[ADC_POS] = burst.sum[ADC_DRV] = 0;
  start_conversion(plan.block[0]);
}

ISR(TIMER1_COMPA_vect) {
  uint32_t t_us = next_us;
  uint16_t seq = next_seq++;
  if (plan_changed && !burst.running) {
    plan = wanted;
    plan_changed = false;
    carried = 0;
    burst.dithered[ADC_GAL] = burst.dithered[ADC_POS] = burst.dithered[ADC_DRV] = 0;
  }
  uint16_t ticks = next_ticks();
  OCR1A += ticks;
  next_us = t_us + (uint32_t)ticks * TICK_US;
  if (burst.running) overrun++;
  else start_burst(t_us, seq);
}

/* One clipped conversion makes an average wrong without showing it, so the end of the span is sent. */
static uint16_t count_of(uint8_t channel, uint8_t scale) {
  uint8_t bit = _BV(channel);
  if (burst.at_bottom & bit) return COUNT_MIN;
  if (burst.at_top & bit) return COUNT_MAX;
  return (uint16_t)(burst.sum[channel] * scale) >> 2;
}

static void end_burst(void) {
  burst.running = false;
  pulse++;
  uint8_t next = (queue_head + 1) & (QUEUE_SIZE - 1);
  if (next == queue_tail) {
    overrun++;
    return;
  }
  struct raw_sample *sample = &queue[queue_head];
  sample->t_us = burst.t_us;
  sample->seq = burst.seq;
  sample->gal = count_of(ADC_GAL, plan.scale);
  sample->pos = count_of(ADC_POS, plan.scale);
  sample->drv = count_of(ADC_DRV, plan.drv_scale);
  sample->switches = (closed_switches() & (uint8_t)~_BV(PIN_CONTACT)) | (burst.contact & _BV(PIN_CONTACT));
  sample->row = (uint8_t)~PINB & ROW_MASK;
  queue_head = next;
}

ISR(ADC_vect) {
  uint16_t value = ADC;
  uint8_t channel = plan.block[burst.at];
  burst.contact &= closed_switches();
  burst.left--;
  if (burst.left > 0) {
    uint8_t at = (uint8_t)(burst.at + 1);
    burst.at = at == plan.block_length ? 0 : at;
    start_conversion(plan.block[burst.at]);
  }
  burst.sum[channel] += value;
  if (value <= RAIL) burst.at_bottom |= _BV(channel);
  if (value >= 1023 - RAIL) burst.at_top |= _BV(channel);
  if (burst.left == 0) end_burst();
}

bool sampler_waiting(void) { return queue_tail != queue_head; }

bool sampler_take(struct raw_sample *sample) {
  if (!sampler_waiting()) return false;
  *sample = queue[queue_tail];
  queue_tail = (queue_tail + 1) & (QUEUE_SIZE - 1);
  return true;
}

uint16_t sampler_take_overrun(void) {
  uint16_t taken;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    taken = overrun;
    overrun = 0;
  }
  return taken;
}

uint32_t sampler_time_us(void) {
  uint32_t t_us;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { t_us = burst.t_us; }
  return t_us;
}

uint8_t sampler_pulse(void) { return pulse; }
