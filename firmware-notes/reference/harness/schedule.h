/* What is going to happen outside the chip, by time, in cycles since power on.
 *
 * Everything that touches a pin comes from here, at its own cycle, in between two instructions of the
 * firmware: how the run is paced or cut into pieces changes nothing.
 */
#ifndef SCHEDULE_H
#define SCHEDULE_H

#include <stdint.h>

#define CYCLES_PER_S 16000000.0
#define NEVER UINT64_MAX

typedef uint64_t cycle_t;

/* Do what is due at this cycle; returns the cycle at which there is something to do again. */
typedef cycle_t (*happening_t)(cycle_t now);

/* Have it called at this cycle; once registered, its time can be set anew. */
void schedule_set(happening_t happening, cycle_t when);

/* The next cycle at which anything is due. */
cycle_t schedule_next(void);

/* Do everything that is due by now, in order of time, then of registration. */
void schedule_run(cycle_t now);

static inline cycle_t cycles_of_s(double seconds)
{
    return (cycle_t)(seconds * CYCLES_PER_S + 0.5);
}

#endif
