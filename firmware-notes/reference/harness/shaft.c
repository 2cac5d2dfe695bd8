#include "shaft.h"

#include <math.h>

#include "chip.h"
#include "motion.h"

#define HELD_S 0.12

shaft_counters_t shaft_counters;

static const options_t *options;
static long count;
static long heard_at;
static int way;
static bool pressed_at[PRESSES_MOST];
static int finger; /* edges the button has made in this press */
static bool hum_high;

/* Forward is 00 01 11 10, A in bit 0. Two are added so that a shaft at its zero rests with both lines high. */
static void set_lines(void)
{
    static const int gray[4] = {0, 1, 3, 2};
    int state = gray[((count + 2) % 4 + 4) % 4];
    chip_pin(ENCODER_A, state & 1);
    chip_pin(ENCODER_B, state & 2);
    if (options->open_index_hz > 0) {
        chip_pin(INDEX, chip_pulled_up(INDEX) || hum_high);
    } else if (options->index_width) {
        long at = (count % options->counts_per_turn + options->counts_per_turn) % options->counts_per_turn;
        chip_pin(INDEX, at < options->index_width);
    }
}

static cycle_t hum(cycle_t now)
{
    hum_high = !hum_high;
    set_lines();
    return now + cycles_of_s(0.5 / options->open_index_hz);
}

static cycle_t button_edge(cycle_t now)
{
    finger++;
    bool released = finger > options->bounces;
    chip_pin(BUTTON, released ? !(finger & 1) : !(finger & 1) && finger < options->bounces);
    if (finger == options->bounces) {
        return now + cycles_of_s(HELD_S);
    }
    if (finger == 2 * options->bounces) {
        finger = 0;
        return NEVER;
    }
    return now + cycles_of_s(options->bounce_ms * 1e-3);
}

static void press_if_reached(cycle_t now)
{
    for (int i = 0; i < options->press_count; i++) {
        if (!pressed_at[i] && options->presses[i] == count && finger == 0) {
            pressed_at[i] = true;
            shaft_counters.presses++;
            schedule_set(button_edge, now);
        }
    }
}

static cycle_t next_edge(cycle_t now)
{
    double per_turn = (double)options->counts_per_turn;
    return motion_passes(now, (count + 0.5) / per_turn, (count - 0.5) / per_turn, &way);
}

static cycle_t edge(cycle_t now)
{
    count += way;
    shaft_counters.edges++;
    if (options->index_width && options->open_index_hz == 0 && count % options->counts_per_turn == (way > 0 ? 0 : options->index_width - 1)) {
        shaft_counters.pulses++;
    }
    set_lines();
    press_if_reached(now);
    return next_edge(now);
}

void shaft_begin(const options_t *given)
{
    options = given;
    motion_plan(options);
    set_lines();
    if (options->open_index_hz > 0) {
        schedule_set(hum, cycles_of_s(0.5 / options->open_index_hz));
        chip_reschedule();
    }
    if (options->begin_s >= 0) {
        shaft_turn(cycles_of_s(options->begin_s));
    }
}

void shaft_turn(cycle_t now)
{
    motion_begin(now);
    schedule_set(edge, next_edge(now));
    chip_reschedule();
}

void shaft_heard(void)
{
    heard_at = count;
    set_lines();
}

long shaft_count(void)
{
    return count - heard_at;
}

double shaft_turns(cycle_t now)
{
    return motion_turns(now);
}
