/* Commands: one line of printable ASCII each, at most 40 characters, `[token] verb [argument]`.
 *
 * A line is read, done and answered before the next is looked at. Everything may be asked twice: a line with
 * a token that comes again at once was not heard the first time, so it is answered and not done again.
 */
#ifndef COMMANDS_H
#define COMMANDS_H

#include <stdbool.h>
#include <stdint.h>

/* Read what has come, do at most one command; true if one was done. */
bool commands_run(void);

/* Send the answer that waits, if one does; true if it was sent. */
bool commands_answer(void);

/* Lines that could not be read, and bytes that came damaged; wraps. */
uint16_t commands_errors(void);

#endif
