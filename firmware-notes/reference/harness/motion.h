/* Where the part is at a time: moves joined end to end, standing still before the first and after the last.
 *
 * Times are cycles since power on. Knows nothing of counts.
 */
#ifndef MOTION_H
#define MOTION_H

#include "options.h"
#include "schedule.h"

void motion_plan(const options_t *options);

/* Let it begin now; only the first call counts. */
void motion_begin(cycle_t now);

double motion_turns(cycle_t now);

/* The first cycle after `now` at which this angle is passed in either direction, or NEVER; in `*way` whether
 * it grows (+1) or falls (-1) there. Asked with the two angles at which the next edge can come. */
cycle_t motion_passes(cycle_t now, double above_turns, double below_turns, int *way);

#endif
