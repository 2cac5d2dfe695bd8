/* The emulated chip: firmware in, pins and voltages set from outside, bytes of its serial port out.
 *
 * Traps this emulator has, and that are met here and nowhere else: it polls a low interrupt pin for ever while
 * the firmware has not yet asked for edges; a write to a port moves pins that are pulled up; a reset forgets
 * every timer and may begin its cycle count anew; it prints to standard output.
 */
#ifndef CHIP_H
#define CHIP_H

#include <stdbool.h>
#include <stdint.h>

#include "schedule.h"

typedef enum { ENCODER_A, ENCODER_B, INDEX, BUTTON, CLOCK, DATA, PINS } pin_t;

typedef struct {
    void (*byte_sent)(uint8_t byte);
    /* A conversion of the analogue input begins; returns what it shall read, 0 to 1023. */
    int (*converts)(cycle_t now);
    /* The firmware listens to the encoder from now on. */
    void (*encoder_heard)(void);
} chip_events_t;

/* Load the firmware and power up; ends the program where that cannot be done. */
void chip_power_up(const char *elf, chip_events_t events);

/* Press its reset button. */
void chip_reset(void);

/* Run until this cycle; false if the firmware has crashed. */
bool chip_run_until(cycle_t when);

/* Cycles since power on, whatever was reset. */
cycle_t chip_now(void);

/* Microseconds on the firmware's own clock, from the moment it started it in this boot. */
uint32_t chip_firmware_us(cycle_t now);

/* Level of a pin. The encoder's pins follow once the firmware has asked for their edges. */
void chip_pin(pin_t pin, bool high);

/* Whether the firmware pulls this input up. */
bool chip_pulled_up(pin_t pin);

/* A byte arrives at its serial port. */
void chip_receive(uint8_t byte);

/* The schedule has changed: look at it again. */
void chip_reschedule(void);

#endif
