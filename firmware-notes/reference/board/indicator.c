#include "indicator.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <stdbool.h>
#include <util/atomic.h>

#include "clock.h"
#include "encoder.h"
#include "pins.h"
#include "samples.h"

#define SIGN 0x200000UL
#define CONTROL 0xC00000UL
#define CONTROL_GOOD 0x400000UL

/* Silence that ends a word: longer than any bit of one, shorter than the pause between two. */
#define GAP_US 2000

/* Clock edges of the word under way: 0 = the next edge begins one. */
enum { WORD_BITS = 24, TOO_MANY = WORD_BITS + 1, UNHEARD = 255 };

static uint32_t edge_us;
static uint32_t word;
static uint8_t edges = UNHEARD; /* as if in the middle of a word: wait for a pause before believing anything */
static bool late;
static uint32_t latch_us;
static int32_t latch_count;
static uint16_t errors;

void indicator_begin(void)
{
    edge_us = clock_now();
    TIFR1 = _BV(ICF1);
    TIMSK1 |= _BV(ICIE1);
}

/* Only now is it known that no edge too many follows. */
static void judge_word(void)
{
    if (edges == UNHEARD) {
        return;
    }
    if (edges != WORD_BITS || late || (word & CONTROL) != CONTROL_GOOD) {
        errors++;
        return;
    }
    int32_t magnitude = (int32_t)(word & (SIGN - 1));
    samples_put(latch_us, latch_count, word & SIGN ? -magnitude : magnitude, CHANNEL_INDICATOR);
}

ISR(TIMER1_CAPT_vect)
{
    uint8_t pins = PINB; /* before all else: data is the bit's for only as long as the clock is high */
    uint32_t now_us = clock_widen(ICR1); /* the edge itself, however late this runs */
    uint32_t pause_us = now_us - edge_us;
    edge_us = now_us;
    if (edges == 0 || pause_us > GAP_US) {
        if (edges) {
            judge_word(); /* the main loop had no time to */
        }
        edges = 0;
        late = false;
        latch_us = now_us;
        latch_count = encoder_count;
    }
    /* The clock is low again, or has risen once more: what was read may be another bit's. Looked at last, since
     * the capture flags an edge some cycles after the pin shows it. */
    if (!(pins & _BV(CLOCK_BIT)) || (TIFR1 & _BV(ICF1))) {
        late = true;
    }
    if (edges < TOO_MANY) {
        edges++;
    }
    word >>= 1;
    if (pins & _BV(DATA_BIT)) {
        word |= 1UL << (WORD_BITS - 1);
    }
}

void indicator_run(void)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        if (edges && clock_latch() - edge_us > GAP_US) {
            judge_word();
            edges = 0;
        }
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
