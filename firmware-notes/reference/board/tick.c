#include "tick.h"

#include <avr/interrupt.h>
#include <avr/io.h>

void tick_begin(void)
{
    TCCR0A = _BV(WGM01);
    OCR0A = F_CPU / 64 / 1000 - 1;
    TCCR0B = _BV(CS01) | _BV(CS00);
    TIMSK0 = _BV(OCIE0A);
}

/* Nothing to do: it is there to end the sleep of the main loop, which looks at the clock itself. */
EMPTY_INTERRUPT(TIMER0_COMPA_vect)

void tick_tone(bool on)
{
    TCCR0A = on ? _BV(WGM01) | _BV(COM0A0) : _BV(WGM01);
}
