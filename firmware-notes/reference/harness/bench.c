/* The bench: firmware, shaft, gauges and wires run together, paced to real time or as fast as it goes.
 *
 * Simulated time is all that the board and the part know. Real time only decides when the PC gets to see it.
 */
#include <stdio.h>
#include <time.h>

#include "chip.h"
#include "gauges.h"
#include "options.h"
#include "schedule.h"
#include "shaft.h"
#include "terminal.h"
#include "truth.h"
#include "wire.h"

#define PIECE_S 0.001 /* how long is run before the PC is looked at again */
#define WAIT_S 0.05

static options_t options;
static double began_s;
static int resets;

static double wall_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9 - began_s;
}


static bool over(void)
{
    return wall_s() >= options.wall_s || (options.port && terminal_let_go());
}

/* The board is powered by the PC's port: nothing is there before somebody opens it and says something. What is
 * said until it runs is not heard. */
static void await_pc(void)
{
    uint8_t bytes[64];
    while (!over() && terminal_read(bytes, sizeof bytes) == 0) {
        terminal_wait(WAIT_S, false);
    }
    for (double until_s = wall_s() + options.hold_s; !over() && wall_s() < until_s;) {
        double left_s = until_s - wall_s();
        terminal_wait(left_s < WAIT_S ? left_s : WAIT_S, false);
        terminal_read(bytes, sizeof bytes);
    }
}

static void plug_as_due(double now_s)
{
    bool out = options.unplug_s >= 0 && now_s >= options.unplug_s && now_s < options.unplug_s + options.unplug_for_s;
    if (out && terminal_plugged()) {
        terminal_pull();
    } else if (!out && !terminal_plugged()) {
        terminal_plug(options.link);
    }
}

/* Let real time catch up; or, running free, let the PC take what is there. */
static void pace(double ahead_from_s, double now_s)
{
    if (options.paced) {
        terminal_flush();
        double ahead_s = now_s - (wall_s() - ahead_from_s);
        if (ahead_s > 0) {
            nanosleep(&(struct timespec){0, (long)(ahead_s * 1e9)}, NULL);
        }
        return;
    }
    while (terminal_flush() && !over()) {
        terminal_wait(WAIT_S, true);
    }
}

static void run(void)
{
    cycle_t end = cycles_of_s(options.seconds);
    cycle_t reset_at = options.reset_s >= 0 ? cycles_of_s(options.reset_s) : NEVER;
    double ahead_from_s = wall_s();
    for (cycle_t now = 0; now < end && !over(); now = chip_now()) {
        cycle_t until = now + cycles_of_s(PIECE_S);
        if (reset_at != NEVER && now >= reset_at) {
            reset_at = NEVER;
            resets++;
            truth_new_boot();
            chip_reset();
        }
        if (!chip_run_until(until)) {
            fputs("bench: the firmware has crashed\n", stderr);
            return;
        }
        if (options.port) {
            double now_s = (double)chip_now() / CYCLES_PER_S;
            plug_as_due(now_s);
            wire_from_pc();
            pace(ahead_from_s, now_s);
        }
    }
}

/* The PC may still be reading: a port that vanishes would be an unplugged cable. */
static void await_end(void)
{
    uint8_t byte;
    while (options.port && !over()) {
        terminal_flush();
        while (terminal_read(&byte, 1)) {
        }
        terminal_wait(WAIT_S, false);
    }
}

int main(int argc, char **argv)
{
    options = options_read(argc, argv);
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    began_s = (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
    truth_open(options.truth, options.first_us, options.first_count);
    gauges_begin(&options);
    chip_power_up(options.elf, (chip_events_t){wire_from_board, gauges_convert, shaft_heard});
    shaft_begin(&options);
    wire_begin(&options);
    if (options.port) {
        terminal_plug(options.link);
        await_pc();
    }
    run();
    double simulated_s = (double)chip_now() / CYCLES_PER_S;
    await_end();
    truth_close();
    wire_end();
    printf("BENCH simulated_s=%.3f wall_s=%.2f sent=%lu flipped=%lu lost=%lu heard=%lu edges=%lu pulses=%lu "
           "presses=%lu words=%lu spoilt=%lu conversions=%lu resets=%d\n",
           simulated_s, wall_s(), wire_counters.sent, wire_counters.flipped, wire_counters.lost,
           wire_counters.heard, shaft_counters.edges, shaft_counters.pulses, shaft_counters.presses,
           gauge_counters.words, gauge_counters.spoilt, gauge_counters.conversions, resets);
    return 0;
}
