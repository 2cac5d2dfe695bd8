/* Lamp and buzzer: signals to a person, never an output that drives anything. */
#ifndef SIGNALS_H
#define SIGNALS_H

#include <stdbool.h>
#include <stdint.h>

void signals_lamp(bool on);

/* So many short tones; 0 ends those that sound. */
void signals_beep(uint8_t times);

/* Blink for two seconds: which board is this? */
void signals_ident(void);

/* Do what is due; called by every turn of the main loop. */
void signals_run(void);

#endif
