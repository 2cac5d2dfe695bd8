#include "schedule.h"

#include <stdio.h>
#include <stdlib.h>

#define MOST 16

static struct {
    happening_t happening;
    cycle_t when;
} rows[MOST];
static int count;

static int row_of(happening_t happening)
{
    for (int row = 0; row < count; row++) {
        if (rows[row].happening == happening) {
            return row;
        }
    }
    if (count == MOST) {
        fputs("bench: more events than the schedule holds\n", stderr);
        abort();
    }
    rows[count].happening = happening;
    rows[count].when = NEVER;
    return count++;
}

void schedule_set(happening_t happening, cycle_t when)
{
    rows[row_of(happening)].when = when;
}

static int first(void)
{
    int found = -1;
    for (int row = 0; row < count; row++) {
        if (rows[row].when != NEVER && (found < 0 || rows[row].when < rows[found].when)) {
            found = row;
        }
    }
    return found;
}

cycle_t schedule_next(void)
{
    int row = first();
    return row < 0 ? NEVER : rows[row].when;
}

void schedule_run(cycle_t now)
{
    for (int row = first(); row >= 0 && rows[row].when <= now; row = first()) {
        cycle_t due = rows[row].when;
        rows[row].when = NEVER;
        cycle_t again = rows[row].happening(due);
        if (rows[row].when == NEVER) {
            rows[row].when = again; /* else it has set its own time meanwhile */
        }
    }
}
