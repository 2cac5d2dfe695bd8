/* The board's clock: microseconds in 32 bits, from a 16-bit timer widened by its overflows.
 *
 * Timer 1 runs at 2 MHz and is never written again once it runs: all times of a boot are from one count. It
 * also dates the indicator's clock edges by itself (input capture). Wraps after 71.58 minutes.
 */
#ifndef CLOCK_H
#define CLOCK_H

#include <avr/io.h>
#include <stdint.h>

extern volatile uint32_t clock_high_us;

/* Begin to count from 0. */
void clock_begin(void);

/* Widen a timer reading taken just now. Interrupts must be off: the overflow may not have been counted yet,
 * and then the reading tells on which side of it it was taken. */
static inline uint32_t clock_widen(uint16_t ticks)
{
    uint32_t high_us = clock_high_us;
    if ((TIFR1 & _BV(TOV1)) && ticks < 0x8000) {
        high_us += 0x8000;
    }
    return high_us + (ticks >> 1);
}

/* The time now, for code that runs with interrupts off. */
static inline uint32_t clock_latch(void)
{
    uint16_t ticks = TCNT1; /* before the overflow flag is looked at, see above */
    return clock_widen(ticks);
}

/* The time now, for the main loop. */
uint32_t clock_now(void);

#endif
