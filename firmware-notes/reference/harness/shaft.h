/* The encoder on the shaft, its index, and the hand that presses the button when a count is reached. */
#ifndef SHAFT_H
#define SHAFT_H

#include "options.h"
#include "schedule.h"

typedef struct {
    unsigned long edges;
    unsigned long pulses;
    unsigned long presses;
} shaft_counters_t;

extern shaft_counters_t shaft_counters;

void shaft_begin(const options_t *options);

/* The shaft begins to turn (only the first call counts). */
void shaft_turn(cycle_t now);

/* The firmware begins to count here: it knows nothing of what was before. */
void shaft_heard(void);

/* Count since then. */
long shaft_count(void);

/* Angle in turns now, between counts too. */
double shaft_turns(cycle_t now);

#endif
