/* How readings leave the board: one frame each, 28 to a frame, or one line each. */
#ifndef READINGS_H
#define READINGS_H

#include <stdbool.h>

typedef enum { MODE_SINGLE, MODE_BATCH, MODE_TEXT } send_mode_t;

void readings_set_mode(send_mode_t mode);

/* Send, or put into the batch, at most one reading; true if something was done. */
bool readings_run(void);

#endif
