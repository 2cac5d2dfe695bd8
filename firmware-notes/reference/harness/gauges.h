/* The two gauges on the surface: the indicator that sends words, the probe whose voltage is converted. */
#ifndef GAUGES_H
#define GAUGES_H

#include "options.h"
#include "schedule.h"

typedef struct {
    unsigned long words;
    unsigned long spoilt;
    unsigned long conversions;
} gauge_counters_t;

extern gauge_counters_t gauge_counters;

void gauges_begin(const options_t *options);

/* A conversion of the probe begins: what it reads, 0 to 1023. */
int gauges_convert(cycle_t now);

#endif
