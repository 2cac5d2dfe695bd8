#include "frame.h"

#include <string.h>
#include <util/crc16.h>

#include "uart.h"

#define CRC_START 0xFFFF
#define AROUND 5 /* a zero before, the COBS code, two bytes of crc, the closing zero */

static uint8_t body[FRAME_BODY_MOST + 2];
static uint8_t size;
static uint16_t number;
static bool text_before; /* the last byte written ended a line, not a frame */

bool frame_fits(uint8_t body_bytes, bool rare)
{
    uint16_t needed = (uint16_t)body_bytes + AROUND + (rare ? 0 : FRAME_RESERVE);
    return uart_room() >= needed;
}

bool frame_line_fits(uint8_t characters)
{
    return uart_room() >= (uint16_t)characters + FRAME_RESERVE;
}

void frame_begin(uint8_t type, uint8_t flags, uint32_t t_us)
{
    size = 0;
    frame_u8(type);
    frame_u8(flags);
    frame_u16(frame_next_number());
    frame_u32(t_us);
}

uint16_t frame_next_number(void)
{
    return number++;
}

void frame_u8(uint8_t value)
{
    body[size++] = value;
}

void frame_u16(uint16_t value)
{
    memcpy(&body[size], &value, sizeof value); /* this machine is little-endian, as the wire is */
    size += sizeof value;
}

void frame_u32(uint32_t value)
{
    memcpy(&body[size], &value, sizeof value);
    size += sizeof value;
}

void frame_text(const char *text)
{
    while (*text && size < FRAME_BODY_MOST) {
        body[size++] = (uint8_t)*text++;
    }
}

/* A body is shorter than 254 bytes: every COBS code stands where a zero stood, none stands for a full block. */
static void write_stuffed(void)
{
    uint8_t from = 0;
    for (uint8_t at = 0; at <= size; at++) {
        if (at < size && body[at] != 0) {
            continue;
        }
        uart_write((uint8_t)(at - from + 1));
        while (from < at) {
            uart_write(body[from++]);
        }
        from = at + 1;
    }
}

void frame_end(bool apart)
{
    uint16_t crc = CRC_START;
    for (uint8_t at = 0; at < size; at++) {
        crc = _crc_xmodem_update(crc, body[at]);
    }
    frame_u16(crc);
    if (apart || text_before) {
        uart_write(0);
    }
    text_before = false;
    write_stuffed();
    uart_write(0);
}

void frame_line(const char *text)
{
    static const char digits[] = "0123456789ABCDEF";
    uint16_t crc = CRC_START;
    for (; *text; text++) {
        crc = _crc_xmodem_update(crc, (uint8_t)*text);
        uart_write((uint8_t)*text);
    }
    uart_write('*');
    for (int8_t shift = 12; shift >= 0; shift -= 4) {
        uart_write((uint8_t)digits[(crc >> shift) & 0x0F]);
    }
    uart_write('\n');
    text_before = true;
}
