/* A beat of 1 ms that wakes the main loop, and the tone of the buzzer made from the same timer. */
#ifndef TICK_H
#define TICK_H

#include <stdbool.h>

void tick_begin(void);

/* 500 Hz on the buzzer's pin, by the timer itself. */
void tick_tone(bool on);

#endif
