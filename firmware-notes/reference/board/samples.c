#include "samples.h"

#include <stddef.h>
#include <util/atomic.h>

#define ROOM 16 /* a power of two; 6 ms at 2,000 readings a second */

/* The probe's readings may not fill it: where the line is too slow for them, the few words of the indicator
 * would else be lost among them. */
#define ROOM_OF_PROBE 12

volatile uint8_t samples_since[CHANNELS];
volatile bool samples_wanted;

static sample_t ring[ROOM];
static volatile uint8_t put; /* written by interrupts only */
static volatile uint8_t taken; /* written by the main loop only */
static volatile uint16_t dropped;

void samples_put(uint32_t t_us, int32_t count, int32_t value, uint8_t flags)
{
    if (!samples_wanted) {
        return;
    }
    uint8_t at = put;
    uint8_t most = (flags & 0x0F) == CHANNEL_PROBE ? ROOM_OF_PROBE : ROOM;
    if ((uint8_t)(at - taken) >= most) {
        dropped++;
        return; /* what was noted stays noted, for the next reading that does get through */
    }
    volatile uint8_t *since = &samples_since[flags & 0x0F];
    sample_t *slot = &ring[at % ROOM];
    slot->t_us = t_us;
    slot->count = count;
    slot->value = value;
    slot->flags = flags | *since;
    *since = 0;
    put = at + 1;
}

void samples_drop(void)
{
    dropped++;
}

const sample_t *samples_oldest(void)
{
    uint8_t at = taken;
    return put == at ? NULL : &ring[at % ROOM];
}

void samples_take_off(void)
{
    taken++;
}

uint16_t samples_dropped(void)
{
    uint16_t so_far;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        so_far = dropped;
    }
    return so_far;
}
