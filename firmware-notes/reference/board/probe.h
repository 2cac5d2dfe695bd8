/* The analogue probe: 0 to 5 V on one input, 2.5 V at its zero, 20 mV a micrometre; told as -512 to 511.
 *
 * Sampled by a timer of its own at an even rate. Time and count are those at which a conversion is started;
 * the converter holds its input 12 us later, always the same.
 */
#ifndef PROBE_H
#define PROBE_H

#include <stdint.h>

#define PROBE_LOW (-512)
#define PROBE_HIGH 511

/* 5 V / 1024 / (20 mV / um) = 244.140625 nm a step. */
#define PROBE_SCALE_NUM 15625
#define PROBE_SCALE_DEN 64

void probe_begin(void);

/* Sample so many times a second, 0 to MAX_RATE_HZ; 0 stops. */
void probe_set_rate(uint16_t rate_hz);

uint16_t probe_rate_hz(void);

/* Microseconds from reading to reading, exactly. */
uint32_t probe_period_us(void);

#endif
