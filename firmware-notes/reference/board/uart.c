#include "uart.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "config.h"

/* Double speed: eight clocks a bit, which alone makes 1,000,000 and 500,000 come out exactly. */
#define DIVIDER ((F_CPU + BAUD * 4) / (BAUD * 8))
#define REAL_BAUD (F_CPU / 8 / DIVIDER)
_Static_assert(REAL_BAUD * 1000 <= BAUD * 1025UL && REAL_BAUD * 1000 >= BAUD * 975UL,
               "this baud rate cannot be made from this crystal within 2.5 %");

#define RX_ROOM 128 /* a power of two; three of the longest lines */

/* 256 bytes: the eight-bit positions wrap by themselves. */
static uint8_t tx[256];
static volatile uint8_t tx_put;
static volatile uint8_t tx_sent;

static uint8_t rx[RX_ROOM];
static volatile uint8_t rx_put;
static volatile uint8_t rx_read;
static volatile uint16_t errors;

void uart_begin(void)
{
    UCSR0A = _BV(U2X0);
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
    UBRR0H = (uint8_t)((DIVIDER - 1) >> 8);
    UBRR0L = (uint8_t)(DIVIDER - 1);
    UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
}

uint8_t uart_room(void)
{
    return (uint8_t)(tx_sent - tx_put - 1);
}

void uart_write(uint8_t byte)
{
    tx[tx_put] = byte;
    tx_put++;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) /* the interrupt below takes the same bit back */
    {
        UCSR0B |= _BV(UDRIE0);
    }
}

ISR(USART_UDRE_vect)
{
    uint8_t at = tx_sent;
    if (at == tx_put) {
        UCSR0B &= (uint8_t)~_BV(UDRIE0);
        return;
    }
    UDR0 = tx[at];
    tx_sent = at + 1;
}

ISR(USART_RX_vect)
{
    uint8_t wrong = UCSR0A & (_BV(FE0) | _BV(DOR0)); /* before the byte is read, which clears them */
    uint8_t byte = UDR0;
    uint8_t at = rx_put;
    if (wrong || (uint8_t)(at - rx_read) >= RX_ROOM) {
        errors++;
        return;
    }
    rx[at % RX_ROOM] = byte;
    rx_put = at + 1;
}

int16_t uart_read(void)
{
    uint8_t at = rx_read;
    if (rx_put == at) {
        return -1;
    }
    uint8_t byte = rx[at % RX_ROOM];
    rx_read = at + 1;
    return byte;
}

uint16_t uart_errors(void)
{
    uint16_t so_far;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        so_far = errors;
    }
    return so_far;
}
