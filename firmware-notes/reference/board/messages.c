#include "messages.h"

#include <avr/eeprom.h>
#include <string.h>
#include <util/atomic.h>

#include "clock.h"
#include "config.h"
#include "encoder.h"
#include "frame.h"
#include "indicator.h"
#include "probe.h"
#include "samples.h"

#define WIRE_VERSION 1
#define TICK_NS 1000

enum { HELLO_BYTES = 36, CHANNEL_BYTES = 28, MARK_BYTES = 16, HEARTBEAT_BYTES = 24, HEADER_BYTES = 8 };

enum {
    CAP_DIGITAL = 1 << 0,
    CAP_ANALOGUE = 1 << 1,
    CAP_INDEX = 1 << 2,
    CAP_BATCH = 1 << 3,
    CAP_TEXT = 1 << 4,
    CAP_BUTTON = 1 << 5,
    CAP_SIGNALS = 1 << 6,
};

enum { KIND_DIGITAL = 1, KIND_ANALOGUE = 2 };

static uint32_t boot_id;
static uint8_t cause;

/* A boot is told from the one before by a number kept in EEPROM: a clock would begin at 0 again, and what
 * random numbers there are at power on repeat. One cell is good for 100,000 boots. */
static uint32_t EEMEM boots_kept;

void messages_begin(uint8_t reset_cause)
{
    cause = reset_cause;
    boot_id = eeprom_read_dword(&boots_kept) + 1; /* an empty EEPROM reads all ones: the first boot is 0 */
    eeprom_update_dword(&boots_kept, boot_id);
}

bool message_hello(void)
{
    if (!frame_fits(HELLO_BYTES, true)) {
        return false;
    }
    frame_begin('H', WIRE_VERSION, clock_now());
    frame_u8(FIRMWARE_MAJOR);
    frame_u8(FIRMWARE_MINOR);
    frame_u16(CAP_DIGITAL | CAP_ANALOGUE | CAP_INDEX | CAP_BATCH | CAP_TEXT | CAP_BUTTON | CAP_SIGNALS);
    frame_u32(DEVICE_ID);
    frame_u32(COUNTS_PER_TURN);
    frame_u32(TICK_NS);
    frame_u16(probe_rate_hz());
    frame_u8(CHANNELS);
    frame_u8(cause);
    frame_u32(boot_id);
    frame_u32(MAX_EDGES_PER_S);
    frame_end(true);
    return true;
}

bool message_channel(uint8_t channel)
{
    bool digital = channel == CHANNEL_INDICATOR;
    const char *name = digital ? "indicator" : "analogue probe";
    uint8_t letters = (uint8_t)strlen(name);
    if (!frame_fits(CHANNEL_BYTES + letters, true)) {
        return false;
    }
    frame_begin('C', channel, clock_now());
    frame_u8(digital ? KIND_DIGITAL : KIND_ANALOGUE);
    frame_u8(0); /* tip pushed in reads more */
    frame_u16(letters);
    frame_u32(digital ? 100 : PROBE_SCALE_NUM); /* nanometres a step: a tenth of a micrometre */
    frame_u32(digital ? 1 : PROBE_SCALE_DEN);
    frame_u32((uint32_t)(digital ? -INDICATOR_REACH : PROBE_LOW));
    frame_u32((uint32_t)(digital ? INDICATOR_REACH : PROBE_HIGH));
    frame_text(name);
    frame_end(false);
    return true;
}

bool message_pulse(const pulse_t *pulse)
{
    if (!frame_fits(MARK_BYTES, true)) {
        return false;
    }
    frame_begin('X', 0, pulse->t_us);
    frame_u32((uint32_t)encoder_from_zero(pulse->count));
    frame_u32((uint32_t)pulse->turns);
    frame_end(false);
    return true;
}

bool message_press_fits(void)
{
    return frame_fits(MARK_BYTES, true);
}

bool message_press(const press_t *press)
{
    if (!message_press_fits()) {
        return false;
    }
    frame_begin('K', 0, press->t_us);
    frame_u32((uint32_t)encoder_from_zero(press->count));
    frame_u8(1);
    frame_u8(press->down);
    frame_u16(0);
    frame_end(false);
    return true;
}

bool message_heartbeat(bool streaming, uint16_t rx_errors)
{
    if (!frame_fits(HEARTBEAT_BYTES, true)) {
        return false;
    }
    uint32_t now_us;
    int32_t count;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        now_us = clock_latch();
        count = encoder_count;
    }
    frame_begin('P', streaming, now_us);
    frame_u32((uint32_t)encoder_from_zero(count));
    frame_u16(samples_dropped());
    frame_u16(encoder_errors_now());
    frame_u16(indicator_errors());
    frame_u16(rx_errors);
    frame_u32((uint32_t)marks_turns());
    frame_end(false);
    return true;
}

bool message_answer(bool error, const char *text)
{
    if (!frame_fits(HEADER_BYTES + (uint8_t)strlen(text), true)) {
        return false;
    }
    frame_begin(error ? 'E' : 'R', 0, clock_now());
    frame_text(text);
    frame_end(false);
    return true;
}
