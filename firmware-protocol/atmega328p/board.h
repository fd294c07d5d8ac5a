/* Where things are wired, and the numbers that follow from the chip. README.md has the table for the bench. */
#ifndef BOARD_H
#define BOARD_H

#include <avr/io.h>

#ifndef F_CPU
#define F_CPU 16000000UL
#endif

#define FIRMWARE_NAME "tenwire-1.0"

/* Analog inputs of the converter. */
#define ADC_GAL 0
#define ADC_POS 1
#define ADC_DRV 2

/* Port D: switches to ground, pull-ups on, so a closed switch reads 0. PD0 and PD1 are the serial line. */
#define PIN_CONTACT PD2
#define PIN_MARK PD3
#define PIN_CELL_1 PD4
#define PIN_CELL_2 PD5
#define PIN_PROTECT PD6
#define PIN_LOAD PD7
#define SWITCHES_MASK 0xFC

/* Port B: the row in binary, lines to ground like the switches, and the lamp that shows contact. */
#define ROW_MASK 0x1F
#define PIN_LAMP PB5

/* Timer 1 counts 4 us ticks. */
#define TICK_US 4
#define TICKS_PER_SECOND 250000UL

/*
 * One conversion: 13 cycles of the converter's 125 kHz clock (datasheet: 50 to 200 kHz for full resolution), up to one
 * more until its clock's next edge. The emulator leaves that edge out and takes 104 us.
 */
#define CONVERSION_US 112UL

/*
 * Counts are sums brought to 12 bits. An amplifier stops some millivolts short of its supply, so a conversion
 * within RAIL of an end of the converter's span is taken for saturated.
 */
#define RAIL 12
#define COUNT_MIN (4 * RAIL)
#define COUNT_MAX (4 * (1023 - RAIL))

/* Port C: analog inputs, and three lines to the dither ladder, most significant bit last. */
#define DITHER_MASK (_BV(PC3) | _BV(PC4) | _BV(PC5))
#define DITHER_SHIFT 3

#endif
