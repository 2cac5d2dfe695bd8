/* What the board says of itself, one frame each. All of these are rare, so each needs room only for itself.
 *
 * Every function returns false, and has sent nothing, when there is no room now.
 */
#ifndef MESSAGES_H
#define MESSAGES_H

#include <stdbool.h>
#include <stdint.h>

#include "marks.h"

/* Keep the reset's cause and take a boot number that no boot before had. */
void messages_begin(uint8_t reset_cause);

bool message_hello(void);
bool message_channel(uint8_t channel);
bool message_pulse(const pulse_t *pulse);
bool message_press(const press_t *press);
bool message_heartbeat(bool streaming, uint16_t rx_errors);
bool message_answer(bool error, const char *text);

/* Whether a message about the button would find room; asked before it is judged, which is done only once. */
bool message_press_fits(void);

#endif
