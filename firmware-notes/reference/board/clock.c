#include "clock.h"

#include <avr/interrupt.h>
#include <util/atomic.h>

#include "config.h"

volatile uint32_t clock_high_us = FIRST_US;

void clock_begin(void)
{
    TCCR1A = 0;
    /* Rising edges captured, four equal readings asked for before one counts as an edge; 16 MHz / 8. */
    TCCR1B = _BV(ICNC1) | _BV(ICES1) | _BV(CS11);
    TIFR1 = _BV(TOV1) | _BV(ICF1);
    TIMSK1 = _BV(TOIE1);
}

ISR(TIMER1_OVF_vect)
{
    clock_high_us += 0x8000; /* 65536 ticks of half a microsecond */
}

uint32_t clock_now(void)
{
    uint32_t now_us;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        now_us = clock_latch();
    }
    return now_us;
}
