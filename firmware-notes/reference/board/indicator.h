/* The digital indicator: words of 24 bits on a clock and a data line, lowest bit first.
 *
 * A bit is valid at the rising edge of its clock, and stays until the clock falls: where the interrupt that reads
 * it comes later than that, the word is a bad one. Bits 0 to 20 are the magnitude in tenths of a micrometre, 21
 * the sign (1 = negative), 22 is always 1 and 23 always 0: anything else, or more or fewer than 24 edges, is
 * a bad word. A word is judged when it is over, after a pause. Time and count of a
 * reading are those of the first clock edge of its word, which is when the indicator froze it.
 */
#ifndef INDICATOR_H
#define INDICATOR_H

#include <stdint.h>

#define INDICATOR_REACH 0x1FFFFFL

void indicator_begin(void);

/* Judge the word that is over, if there is one. */
void indicator_run(void);

/* Bad words so far; wraps. */
uint16_t indicator_errors(void);

#endif
