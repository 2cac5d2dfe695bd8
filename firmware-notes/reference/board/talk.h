/* What the board says that is no reading, in its order: who it is, answers, marks, the heartbeat. */
#ifndef TALK_H
#define TALK_H

#include <stdbool.h>

void talk_begin(void);

/* Say who the board is and what its channels are, as soon as there is room. */
void talk_hello(void);

/* Say at most one thing; true if something was said. */
bool talk_run(void);

#endif
