/* The board, from reset to power off: interrupts latch, the main loop tells.
 *
 * Every turn of the loop does a little of everything, at most one reading and one other frame, so that nothing
 * waits long for anything else; when there was nothing to do it sleeps until the next interrupt.
 */
#include <avr/interrupt.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "clock.h"
#include "commands.h"
#include "encoder.h"
#include "indicator.h"
#include "marks.h"
#include "messages.h"
#include "pins.h"
#include "probe.h"
#include "readings.h"
#include "signals.h"
#include "talk.h"
#include "tick.h"
#include "uart.h"

int main(void)
{
    uint8_t reset_cause = MCUSR & 0x0F;
    MCUSR = 0;
    wdt_disable(); /* a watchdog that some loader left running would reset the board again and again */
    pins_begin();
    messages_begin(reset_cause); /* takes some milliseconds at most: before anything is counted */
    clock_begin();
    tick_begin();
    encoder_begin();
    marks_begin();
    indicator_begin();
    probe_begin();
    uart_begin();
    talk_begin();
    set_sleep_mode(SLEEP_MODE_IDLE);
    sei();
    for (;;) {
        indicator_run();
        bool busy = commands_run();
        busy |= talk_run();
        busy |= readings_run();
        signals_run();
        if (!busy) {
            sleep_mode(); /* what came since it was looked for is found at the next tick, within 1 ms */
        }
    }
}
