/* Readings on their way from the interrupts that latch them to the main loop that sends them.
 *
 * A reading that finds no room is counted as dropped, and nowhere else: everything later waits instead.
 */
#ifndef SAMPLES_H
#define SAMPLES_H

#include <stdbool.h>
#include <stdint.h>

#define CHANNEL_INDICATOR 0
#define CHANNEL_PROBE 1
#define CHANNELS 2

#define FLAG_OUT_OF_RANGE 0x10
#define FLAG_INDEX 0x40
#define FLAG_ENCODER 0x80

typedef struct {
    uint32_t t_us;
    int32_t count;
    int32_t value;
    uint8_t flags; /* channel in bits 0 to 3 */
} sample_t;

/* What happened since the last reading of each channel; the next one of each carries it. */
extern volatile uint8_t samples_since[CHANNELS];

/* Whether readings are wanted at all. */
extern volatile bool samples_wanted;

/* Note a flag for the next reading of every channel; interrupts off. */
static inline void samples_note(uint8_t flag)
{
    samples_since[CHANNEL_INDICATOR] |= flag;
    samples_since[CHANNEL_PROBE] |= flag;
}

/* Hand over a reading; interrupts off. `flags` are the channel and what is true of the reading itself. */
void samples_put(uint32_t t_us, int32_t count, int32_t value, uint8_t flags);

/* Own up to readings, or other records, that were latched and lost; interrupts off. */
void samples_drop(void);

/* The oldest reading that waits, or a null pointer; it stays there until it is taken off. */
const sample_t *samples_oldest(void);
void samples_take_off(void);

/* Readings dropped so far; wraps. */
uint16_t samples_dropped(void);

#endif
