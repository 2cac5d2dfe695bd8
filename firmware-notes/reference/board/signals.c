#include "signals.h"

#include <avr/io.h>

#include "clock.h"
#include "pins.h"
#include "tick.h"

#define TONE_US 80000UL
#define BLINK_US 100000UL
#define BLINKS 20

static bool lamp;
static uint8_t blinks_left;
static uint32_t blink_us;
static uint8_t halves_left; /* tones and the silences after them */
static uint32_t tone_us;

static void show(bool on)
{
    if (on) {
        PORTB |= _BV(LAMP_BIT);
    } else {
        PORTB &= (uint8_t)~_BV(LAMP_BIT);
    }
}

void signals_lamp(bool on)
{
    lamp = on;
    if (!blinks_left) {
        show(on);
    }
}

void signals_beep(uint8_t times)
{
    halves_left = 2 * times;
    tone_us = clock_now();
    tick_tone(times > 0);
}

void signals_ident(void)
{
    blinks_left = BLINKS;
    blink_us = clock_now();
}

void signals_run(void)
{
    uint32_t now_us = clock_now();
    if (halves_left && now_us - tone_us >= TONE_US) {
        tone_us += TONE_US;
        halves_left--;
        tick_tone(halves_left && !(halves_left & 1));
    }
    if (blinks_left && now_us - blink_us >= BLINK_US) {
        blink_us += BLINK_US;
        blinks_left--;
        show(blinks_left ? blinks_left & 1 : lamp);
    }
}
