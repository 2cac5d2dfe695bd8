/* Up to 28 evenly timed readings of the analogue probe gathered for one frame: 3 bytes a reading, not 20.
 *
 * The indicator's words are not gathered: they come one by one, at no even rate, and need more than 16 bits.
 */
#ifndef BATCH_H
#define BATCH_H

#include <stdbool.h>

#include "samples.h"

/* Whether what is gathered has to go out before this reading (or none) can be taken in: it is full, it has
 * waited long enough, the reading is not the next in its row, or no more are to come. */
bool batch_due(const sample_t *next, bool more_to_come);

void batch_add(const sample_t *sample);

/* Send what is gathered; false if there is no room now. */
bool batch_send(void);

#endif
