/* The angle: a quadrature encoder counted at every edge of A and B, 32 bits, signed.
 *
 * Interrupts only count; where zero is belongs to the sender of messages (`encoder_from_zero`), so that a
 * `zero` can never tear a count or a reading that is still waiting.
 */
#ifndef ENCODER_H
#define ENCODER_H

#include <stdint.h>

extern volatile int32_t encoder_count;
extern volatile int8_t encoder_way;
extern volatile uint16_t encoder_errors;

void encoder_begin(void);

/* The count now, for the main loop. Code with interrupts off reads `encoder_count` itself. */
int32_t encoder_now(void);

/* Impossible steps so far; wraps. */
uint16_t encoder_errors_now(void);

/* A latched count as told to the PC. */
int32_t encoder_from_zero(int32_t count);

/* Let this be count 0 from now on, also for what has been latched and not been sent yet. */
void encoder_zero(void);

#endif
