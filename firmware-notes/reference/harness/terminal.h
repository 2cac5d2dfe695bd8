/* The pseudo-terminal that stands for the port: plugged in, pulled out, read and written without waiting. */
#ifndef TERMINAL_H
#define TERMINAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Plug in: print `PORT path` on a line of its own, and let the link (or NULL) lead to it. */
void terminal_plug(const char *link);
void terminal_pull(void);
bool terminal_plugged(void);

/* Take a byte for the PC; false if it found no room and is lost. */
bool terminal_put(uint8_t byte);

/* Hand on what the PC takes now; how many bytes still wait. */
size_t terminal_flush(void);

/* Bytes from the PC, as many as there are and fit. */
size_t terminal_read(uint8_t *bytes, size_t most);

/* Wait until the PC takes or sends something, standard input ends, or so long. */
void terminal_wait(double seconds, bool for_sending);

/* Whether whoever started us has closed our standard input. */
bool terminal_let_go(void);

#endif
