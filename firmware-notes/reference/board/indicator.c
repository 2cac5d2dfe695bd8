#include "indicator.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "clock.h"
#include "encoder.h"
#include "pins.h"
#include "samples.h"

#define WORD_BITS 24
#define SIGN 0x200000UL
#define CONTROL 0xC00000UL
#define CONTROL_GOOD 0x400000UL

/* Silence that ends a word: longer than any bit of one, shorter than the pause between two. */
#define GAP_US 2000

static uint32_t edge_us;
static uint32_t word;
static uint8_t bits = WORD_BITS; /* as if a word had just ended: wait for a pause before believing anything */
static uint32_t latch_us;
static int32_t latch_count;
static volatile uint16_t errors;

void indicator_begin(void)
{
    edge_us = clock_now();
    TIFR1 = _BV(ICF1);
    TIMSK1 |= _BV(ICIE1);
}

static void finish_word(void)
{
    if ((word & CONTROL) != CONTROL_GOOD) {
        errors++;
        return;
    }
    int32_t magnitude = (int32_t)(word & (SIGN - 1));
    samples_put(latch_us, latch_count, word & SIGN ? -magnitude : magnitude, CHANNEL_INDICATOR);
}

ISR(TIMER1_CAPT_vect)
{
    uint16_t ticks = ICR1; /* the edge itself, however late this runs */
    uint8_t data = PINB & _BV(DATA_BIT);
    uint32_t now_us = clock_widen(ticks);
    uint32_t pause_us = now_us - edge_us;
    edge_us = now_us;
    if (pause_us > GAP_US) {
        if (bits < WORD_BITS) {
            errors++; /* it broke off in the middle */
        }
        bits = 0;
        latch_us = now_us;
        latch_count = encoder_count;
    }
    if (bits == WORD_BITS) {
        return; /* an edge too many: whatever it is, the next word begins after a pause */
    }
    word >>= 1;
    if (data) {
        word |= 1UL << (WORD_BITS - 1);
    }
    if (++bits == WORD_BITS) {
        finish_word();
    }
}

uint16_t indicator_errors(void)
{
    uint16_t so_far;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        so_far = errors;
    }
    return so_far;
}
