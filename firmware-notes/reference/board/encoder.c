#include "encoder.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "config.h"
#include "pins.h"
#include "samples.h"

volatile int32_t encoder_count = FIRST_COUNT;
volatile int8_t encoder_way = 1;
volatile uint16_t encoder_errors;

static volatile uint8_t before;
static int32_t zero;

#define IMPOSSIBLE 2

/* By (state before, state now), B in bit 1 and A in bit 0; forward is 00 01 11 10. Both lines changed at once
 * means that an edge was missed, in which direction nobody can tell: an error, and no count. */
static const int8_t step_of[16] = {
    0, 1, -1, IMPOSSIBLE,
    -1, 0, IMPOSSIBLE, 1,
    1, IMPOSSIBLE, 0, -1,
    IMPOSSIBLE, -1, 1, 0,
};

void encoder_begin(void)
{
    EICRA = _BV(ISC00) | _BV(ISC10); /* any change of either line */
    EIFR = _BV(INTF0) | _BV(INTF1);
    before = (PIND >> ENCODER_SHIFT) & 3;
    EIMSK = _BV(INT0) | _BV(INT1);
}

ISR(INT0_vect)
{
    uint8_t now = (PIND >> ENCODER_SHIFT) & 3;
    int8_t step = step_of[(uint8_t)(before << 2) | now];
    before = now;
    if (step == IMPOSSIBLE) {
        encoder_errors++;
        samples_note(FLAG_ENCODER);
    } else if (step > 0) {
        encoder_count = (int32_t)((uint32_t)encoder_count + 1); /* may run over: the PC unwraps it */
        encoder_way = 1;
    } else if (step < 0) {
        encoder_count = (int32_t)((uint32_t)encoder_count - 1);
        encoder_way = -1;
    }
}

ISR(INT1_vect, ISR_ALIASOF(INT0_vect));

int32_t encoder_now(void)
{
    int32_t count;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        count = encoder_count;
    }
    return count;
}

uint16_t encoder_errors_now(void)
{
    uint16_t errors;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        errors = encoder_errors;
    }
    return errors;
}

int32_t encoder_from_zero(int32_t count)
{
    return (int32_t)((uint32_t)count - (uint32_t)zero);
}

void encoder_zero(void)
{
    zero = encoder_now();
}
