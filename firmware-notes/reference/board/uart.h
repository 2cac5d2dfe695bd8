/* The serial port: two rings emptied and filled by interrupts. Knows nothing of frames. */
#ifndef UART_H
#define UART_H

#include <stdbool.h>
#include <stdint.h>

void uart_begin(void);

/* How many bytes can be written now. */
uint8_t uart_room(void);

/* Write one byte; the caller has seen to it that there is room. */
void uart_write(uint8_t byte);

/* The next byte received, or -1. */
int16_t uart_read(void);

/* Bytes received wrongly or lost for want of room; wraps. */
uint16_t uart_errors(void);

#endif
