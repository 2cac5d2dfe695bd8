#include "marks.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "clock.h"
#include "encoder.h"
#include "pins.h"
#include "samples.h"

#define PULSES 8 /* a power of two */

/* Contacts that have not moved for so long are at rest. Worn ones pause for 10 ms and more while they bounce, and no
 * finger lets go so soon. */
#define REST_US 30000

static pulse_t pulses[PULSES];
static volatile uint8_t put;
static volatile uint8_t sent;
static volatile int32_t turns;
static uint8_t pins_before;

static volatile bool moved; /* a first edge has been latched and is being judged */
static volatile uint32_t first_us;
static volatile int32_t first_count;
static volatile uint32_t last_us;
static volatile bool pressed;

void marks_begin(void)
{
    pins_before = PIND;
    PCMSK2 = _BV(PCINT20) | _BV(PCINT21);
    PCIFR = _BV(PCIF2);
    PCICR = _BV(PCIE2);
}

static inline void pulse_begins(uint32_t now_us)
{
    turns += encoder_way;
    samples_note(FLAG_INDEX);
    uint8_t at = put;
    if ((uint8_t)(at - sent) >= PULSES) {
        samples_drop();
        return;
    }
    pulse_t *pulse = &pulses[at % PULSES];
    pulse->t_us = now_us;
    pulse->count = encoder_count;
    pulse->turns = turns;
    put = at + 1;
}

ISR(PCINT2_vect)
{
    uint32_t now_us = clock_latch();
    uint8_t pins = PIND;
    uint8_t changed = pins ^ pins_before;
    pins_before = pins;
    if ((changed & _BV(INDEX_BIT)) && (pins & _BV(INDEX_BIT))) {
        pulse_begins(now_us);
    }
    if (changed & _BV(BUTTON_BIT)) {
        last_us = now_us;
        if (!moved) { /* when the finger came; the bouncing after it only puts off the judging */
            first_us = now_us;
            first_count = encoder_count;
            moved = true;
        }
    }
}

bool marks_pulse(pulse_t *pulse)
{
    uint8_t at = sent;
    if (put == at) {
        return false;
    }
    *pulse = pulses[at % PULSES];
    return true;
}

void marks_pulse_sent(void)
{
    sent++;
}

bool marks_press(press_t *press)
{
    bool real = false;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) /* an edge now belongs to the press after this one, not to neither */
    {
        if (moved && clock_latch() - last_us >= REST_US) {
            bool down = !(pins_before & _BV(BUTTON_BIT));
            real = down != pressed; /* back where it was: a spark or a touch too short to be meant */
            press->t_us = first_us;
            press->count = first_count;
            press->down = down;
            pressed = down;
            moved = false;
        }
    }
    return real;
}

int32_t marks_turns(void)
{
    int32_t so_far;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        so_far = turns;
    }
    return so_far;
}
