#include "probe.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "clock.h"
#include "encoder.h"
#include "samples.h"

#define STEP_US 2 /* timer 2 at 16 MHz / 32 */
#define STEPS_MOST 256 /* it has 8 bits */

static uint16_t rate;
static uint32_t period_us;
static uint32_t beats_a_reading;
static volatile uint32_t beats_left;
static uint32_t latch_us;
static int32_t latch_count;

void probe_begin(void)
{
    ADMUX = _BV(REFS0); /* the 5 V supply is the reference, input 0 */
    /* 125 kHz: within the range in which all ten bits are promised; a conversion takes 104 us. */
    ADCSRA = _BV(ADEN) | _BV(ADIE) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0);
    TCCR2A = _BV(WGM21);
    TCCR2B = 0;
}

void probe_set_rate(uint16_t rate_hz)
{
    TIMSK2 = 0;
    TCCR2B = 0;
    rate = rate_hz;
    period_us = 0;
    if (rate_hz == 0) {
        return;
    }
    /* A period of many timer steps is made of equal beats that the timer can hold: even to the step, and at
     * most 0.2 % from what was asked for. */
    uint32_t steps = (1000000UL / STEP_US + rate_hz / 2) / rate_hz;
    uint32_t beats = (steps + STEPS_MOST - 1) / STEPS_MOST;
    uint16_t beat_steps = (uint16_t)((steps + beats / 2) / beats);
    period_us = beats * beat_steps * STEP_US;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        beats_a_reading = beats;
        beats_left = beats;
    }
    OCR2A = (uint8_t)(beat_steps - 1);
    TCNT2 = 0;
    TIFR2 = _BV(OCF2A);
    TIMSK2 = _BV(OCIE2A);
    TCCR2B = _BV(CS21) | _BV(CS20);
}

uint16_t probe_rate_hz(void)
{
    return rate;
}

uint32_t probe_period_us(void)
{
    return period_us;
}

ISR(TIMER2_COMPA_vect)
{
    if (--beats_left) {
        return;
    }
    beats_left = beats_a_reading;
    if (ADCSRA & _BV(ADSC)) {
        samples_drop(); /* the one before is not done: cannot happen up to MAX_RATE_HZ, and is owned up to */
        return;
    }
    latch_us = clock_latch();
    latch_count = encoder_count;
    ADCSRA |= _BV(ADSC);
}

ISR(ADC_vect)
{
    int16_t value = (int16_t)ADC + PROBE_LOW;
    uint8_t flags = CHANNEL_PROBE;
    if (value <= PROBE_LOW || value >= PROBE_HIGH) {
        flags |= FLAG_OUT_OF_RANGE; /* at either stop nobody knows how far beyond */
    }
    samples_put(latch_us, latch_count, value, flags);
}
