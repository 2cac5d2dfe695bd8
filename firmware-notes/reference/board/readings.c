#include "readings.h"

#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "batch.h"
#include "encoder.h"
#include "frame.h"
#include "samples.h"

enum { SAMPLE_BYTES = 16, LINE_MOST = 64 };

static send_mode_t mode;

void readings_set_mode(send_mode_t wanted)
{
    mode = wanted;
}

static bool send_single(const sample_t *sample)
{
    if (!frame_fits(SAMPLE_BYTES, false)) {
        return false;
    }
    frame_begin('S', sample->flags, sample->t_us);
    frame_u32((uint32_t)encoder_from_zero(sample->count));
    frame_u32((uint32_t)sample->value);
    frame_end(false);
    return true;
}

static char *append(char *end)
{
    while (*end) {
        end++;
    }
    *end++ = ' ';
    return end;
}

static bool send_line(const sample_t *sample)
{
    if (!frame_line_fits(LINE_MOST)) {
        return false;
    }
    char line[LINE_MOST] = "S ";
    char *end = line + 2;
    end = append(ultoa(frame_next_number(), end, 10));
    end = append(ultoa(sample->t_us, end, 10));
    end = append(ltoa(encoder_from_zero(sample->count), end, 10));
    end = append(ltoa(sample->value, end, 10));
    ultoa(sample->flags, end, 10);
    frame_line(line);
    return true;
}

bool readings_run(void)
{
    const sample_t *sample = samples_oldest();
    bool batched = mode == MODE_BATCH && sample != NULL && (sample->flags & 0x0F) == CHANNEL_PROBE;
    if (batch_due(batched ? sample : NULL, mode == MODE_BATCH && samples_wanted)) {
        return batch_send();
    }
    if (sample == NULL) {
        return false;
    }
    if (batched) {
        batch_add(sample);
    } else if (!(mode == MODE_TEXT ? send_line(sample) : send_single(sample))) {
        return false; /* no room now: it waits where it is */
    }
    samples_take_off();
    return true;
}
