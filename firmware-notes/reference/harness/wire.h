/* The two wires between board and PC: bytes damaged, lost, spaced by the baud rate; commands given by time. */
#ifndef WIRE_H
#define WIRE_H

#include "options.h"
#include "schedule.h"

typedef struct {
    unsigned long sent; /* by the board */
    unsigned long flipped;
    unsigned long lost; /* on the way, with the plug out, or for want of room at the PC */
    unsigned long heard; /* by the board */
} wire_counters_t;

extern wire_counters_t wire_counters;

void wire_begin(const options_t *options);

/* The board sent a byte. */
void wire_from_board(uint8_t byte);

/* Take what the PC has sent meanwhile. */
void wire_from_pc(void);

void wire_end(void);

#endif
