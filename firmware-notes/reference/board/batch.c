#include "batch.h"

#include <stddef.h>

#include "clock.h"
#include "encoder.h"
#include "frame.h"
#include "probe.h"

#define MOST 28
#define WAIT_US 200000 /* a slow rate must not make the screen wait */
#define HEAD_BYTES 16

/* How far a reading may be from its place in the row, which is all that the frame will tell of its time: the
 * interrupt that latches it waits for others, by a few tens of microseconds at most. */
#define EVEN_US 64

static uint8_t gathered;
static uint8_t flags;
static uint32_t first_us;
static int32_t first_count;
static int32_t last_count;
static uint16_t step_us;
static int8_t steps[MOST];
static int16_t values[MOST];

static bool in_row(const sample_t *next)
{
    int32_t moved = (int32_t)((uint32_t)next->count - (uint32_t)last_count);
    uint32_t off_us = next->t_us - (first_us + (uint32_t)gathered * step_us) + EVEN_US;
    return moved >= INT8_MIN && moved <= INT8_MAX && off_us <= 2 * EVEN_US && step_us == probe_period_us();
}

bool batch_due(const sample_t *next, bool more_to_come)
{
    if (gathered == 0) {
        return false;
    }
    if (gathered == MOST || !more_to_come || (next != NULL && !in_row(next))) {
        return true;
    }
    return clock_now() - first_us >= WAIT_US;
}

void batch_add(const sample_t *sample)
{
    if (gathered == 0) {
        first_us = sample->t_us;
        first_count = last_count = sample->count;
        flags = sample->flags;
        uint32_t period_us = probe_period_us();
        step_us = period_us <= UINT16_MAX ? (uint16_t)period_us : 0; /* too slow to gather: one a frame */
    }
    flags |= sample->flags;
    steps[gathered] = (int8_t)((uint32_t)sample->count - (uint32_t)last_count);
    values[gathered] = (int16_t)sample->value;
    last_count = sample->count;
    gathered++;
}

bool batch_send(void)
{
    if (!frame_fits(HEAD_BYTES + 3 * gathered, false)) {
        return false;
    }
    frame_begin('B', flags, first_us);
    frame_u32((uint32_t)encoder_from_zero(first_count));
    frame_u8(gathered);
    frame_u16(step_us);
    frame_u8(0);
    for (uint8_t at = 0; at < gathered; at++) {
        frame_u8((uint8_t)steps[at]);
        frame_u16((uint16_t)values[at]);
    }
    frame_end(false);
    gathered = 0;
    return true;
}
