#include "talk.h"

#include "clock.h"
#include "commands.h"
#include "marks.h"
#include "messages.h"
#include "samples.h"

#define HEARTBEAT_US 500000UL

/* What of the hello is still to be said: first itself, then one frame for each channel. */
static uint8_t hello_part = CHANNELS + 1;
static uint32_t beat_us;

void talk_begin(void)
{
    beat_us = clock_now();
    talk_hello();
}

void talk_hello(void)
{
    hello_part = 0;
}

static bool say_hello(void)
{
    if (hello_part > CHANNELS) {
        return false;
    }
    if (!(hello_part == 0 ? message_hello() : message_channel(hello_part - 1))) {
        return false;
    }
    hello_part++;
    return true;
}

static bool say_pulse(void)
{
    pulse_t pulse;
    if (!marks_pulse(&pulse) || !message_pulse(&pulse)) {
        return false;
    }
    marks_pulse_sent();
    return true;
}

static bool say_press(void)
{
    press_t press;
    return message_press_fits() && marks_press(&press) && message_press(&press);
}

static bool say_heartbeat(void)
{
    if (clock_now() - beat_us < HEARTBEAT_US || !message_heartbeat(samples_wanted, commands_errors())) {
        return false;
    }
    beat_us += HEARTBEAT_US;
    return true;
}

bool talk_run(void)
{
    /* An answer comes after the hello it asked for. */
    return say_hello() || say_pulse() || say_press() || say_heartbeat()
        || (hello_part > CHANNELS && commands_answer());
}
