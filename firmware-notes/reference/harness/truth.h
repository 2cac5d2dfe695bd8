/* What was really there at each latch, beside what the firmware tells. One line a latch:
 * t_us,count,indicator_raw,analogue_raw,boot - of the two raw values the one that was latched. */
#ifndef TRUTH_H
#define TRUTH_H

#include <stdint.h>

/* Clock and count of the firmware begin with these. */
void truth_open(const char *path, uint32_t first_us, int32_t first_count);
void truth_indicator(uint32_t t_us, long count, long raw);
void truth_probe(uint32_t t_us, long count, long raw);
void truth_new_boot(void);
void truth_close(void);

#endif
