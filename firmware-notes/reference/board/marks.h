/* What happens rarely and has to be dated at once: the index pulse and the button.
 *
 * Both are latched by one interrupt (change of either pin) and wait here until the main loop sends them.
 */
#ifndef MARKS_H
#define MARKS_H

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    uint32_t t_us;
    int32_t count;
    int32_t turns; /* signed: one more for each pulse forward, one less for each back */
} pulse_t;

typedef struct {
    uint32_t t_us;
    int32_t count;
    bool down;
} press_t;

void marks_begin(void);

/* The oldest pulse of the index that was not sent yet; false if there is none. */
bool marks_pulse(pulse_t *pulse);
void marks_pulse_sent(void);

/* What the button did, once its contacts have come to rest; false if nothing new. True only once. */
bool marks_press(press_t *press);

int32_t marks_turns(void);

#endif
