/* Frames: COBS(body || crc16) 00, and the checksummed lines of text mode. Knows nothing of what a body says.
 *
 * COBS: Cheshire and Baker, IEEE/ACM Transactions on Networking 7(2), 1999. crc16: polynomial 0x1021, start
 * 0xFFFF, not reflected, no final xor, low byte first.
 */
#ifndef FRAME_H
#define FRAME_H

#include <stdbool.h>
#include <stdint.h>

#define FRAME_BODY_MOST 100

/* Room that readings leave free, so that what is rare (hello, index, button, heartbeat, answers) always finds
 * some: the longest of those is an answer to the longest line. */
#define FRAME_RESERVE 64

/* Whether a frame of this body, or a line of this many characters, may be written now. */
bool frame_fits(uint8_t body_bytes, bool rare);
bool frame_line_fits(uint8_t characters);

/* Begin a body with its header; the number of the frame is the next one. */
void frame_begin(uint8_t type, uint8_t flags, uint32_t t_us);
void frame_u8(uint8_t number);
void frame_u16(uint16_t number);
void frame_u32(uint32_t number);
void frame_text(const char *text);

/* Send it. `apart` puts a zero before it, which ends whatever fragment went before. */
void frame_end(bool apart);

/* Number for a line of text mode, which counts as a frame. */
uint16_t frame_next_number(void);

/* Send `text*CRC4` and a line end. */
void frame_line(const char *text);

#endif
