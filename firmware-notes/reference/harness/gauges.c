#include "gauges.h"

#include <math.h>
#include <stdlib.h>

#include "chance.h"
#include "chip.h"
#include "shaft.h"
#include "surface.h"
#include "truth.h"

#define WORD_BITS 24
#define SIGN 0x200000L
#define ALWAYS_ONE 0x400000L
#define ALWAYS_ZERO 0x800000L
#define STEPS_PER_MM 10000.0
#define REACH 0x1FFFFFL
#define V_PER_MM 20.0
#define ZERO_V 2.5
#define SUPPLY_V 5.0
#define CODES 1024

gauge_counters_t gauge_counters;

static const options_t *options;
static chance_t indicator_chance;
static chance_t probe_chance;
static chance_t spoil_chance;

static cycle_t word_began;
static long word;
static int word_bits;
static int half; /* halves of clock periods done in this word: rising edges are even, falling ones odd */
static cycle_t half_cycles;
static cycle_t word_cycles;

static double reading_mm(cycle_t now)
{
    return surface_mm(options, shaft_turns(now));
}

/* Each way in which a word can be seen to be wrong; a turned bit of its magnitude cannot. */
static void spoil(void)
{
    switch (chance_bits(&spoil_chance) & 3) {
    case 0: word ^= ALWAYS_ONE; break;
    case 1: word ^= ALWAYS_ZERO; break;
    case 2: word_bits--; break;
    default: word_bits++;
    }
}

static void freeze(cycle_t now)
{
    double shown_mm = reading_mm(now) + options->indicator_noise_mm * chance_normal(&indicator_chance);
    long raw = lround(shown_mm * STEPS_PER_MM);
    raw = raw > REACH ? REACH : raw < -REACH ? -REACH : raw;
    word = labs(raw) | (raw < 0 ? SIGN : 0) | ALWAYS_ONE;
    word_bits = WORD_BITS;
    gauge_counters.words++;
    if (chance_one_in(&spoil_chance, options->bad_word_in)) {
        spoil();
        gauge_counters.spoilt++;
    } else {
        truth_indicator(chip_firmware_us(now), shaft_count(), raw);
    }
}

/* Data is set half a period before the clock rises, and stays until the next falling edge. */
static cycle_t clock_edge(cycle_t now)
{
    if (half == 0) {
        word_began = now;
        freeze(now);
        chip_pin(DATA, word & 1);
    }
    bool rises = !(half & 1);
    chip_pin(CLOCK, rises);
    if (!rises) {
        chip_pin(DATA, word >> (half / 2 + 1) & 1);
    }
    if (++half == 2 * word_bits) {
        half = 0;
        return word_began + word_cycles;
    }
    return now + half_cycles;
}

int gauges_convert(cycle_t now)
{
    double shown_mm = reading_mm(now) + options->probe_noise_mm * chance_normal(&probe_chance);
    int code = (int)floor((ZERO_V + V_PER_MM * shown_mm) / SUPPLY_V * CODES);
    code = code < 0 ? 0 : code >= CODES ? CODES - 1 : code;
    gauge_counters.conversions++;
    truth_probe(chip_firmware_us(now), shaft_count(), code - CODES / 2);
    return code;
}

void gauges_begin(const options_t *given)
{
    options = given;
    indicator_chance = chance_row(options->seed, 1);
    probe_chance = chance_row(options->seed, 2);
    spoil_chance = chance_row(options->seed, 3);
    if (options->words_per_s > 0) {
        half_cycles = cycles_of_s(options->bit_us * 0.5e-6);
        word_cycles = cycles_of_s(1 / options->words_per_s);
        schedule_set(clock_edge, word_cycles);
    }
}
