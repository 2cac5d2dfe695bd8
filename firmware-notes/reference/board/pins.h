/* Which pin is what, and why it is that one.
 *
 *   PD2, PD3  encoder A, B: the only two pins with edge interrupts of their own, and of highest priority
 *   PD4       index of the encoder, high while it passes
 *   PD5       button to ground
 *   PB0       clock of the indicator: the input capture pin, so its edges are dated by hardware
 *   PB1       data of the indicator
 *   PC0       analogue probe
 *   PD6       buzzer: output of the 1 ms timer
 *   PB5       lamp
 *   PD0, PD1  serial port
 */
#ifndef PINS_H
#define PINS_H

#include <avr/io.h>

#define ENCODER_SHIFT 2
#define INDEX_BIT PD4
#define BUTTON_BIT PD5
#define BUZZER_BIT PD6
#define CLOCK_BIT PB0
#define DATA_BIT PB1
#define LAMP_BIT PB5

/* Pull-ups on everything that may hang open: a wire that came off, or an encoder without an index, must not
 * flicker. Not on clock and data: the level shifters pull those up themselves, and a second pull-up would be three
 * times the current through the indicator's weak outputs. */
static inline void pins_begin(void)
{
    DDRD = _BV(BUZZER_BIT) | _BV(PD1);
    PORTD = _BV(PD0) | _BV(PD1) | _BV(PD2) | _BV(PD3) | _BV(INDEX_BIT) | _BV(BUTTON_BIT);
    DDRB = _BV(LAMP_BIT);
    PORTB = 0;
    DDRC = 0;
    PORTC = 0;
    DIDR0 = _BV(ADC0D); /* no digital buffer on a pin that rests at half the supply */
}

#endif
