#include "wire.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chance.h"
#include "chip.h"
#include "shaft.h"
#include "terminal.h"

#define BITS_PER_BYTE 11 /* the emulated port takes eleven bit times for each byte it receives */
#define ROOM 4096
#define VERB "start"

wire_counters_t wire_counters;

static const options_t *options;
static chance_t flip_chance;
static chance_t lose_chance;
static FILE *stream;
static uint8_t to_board[ROOM];
static size_t from;
static size_t held;
static char line[64];
static size_t length;
static int said;

static cycle_t byte_arrives(cycle_t now);

static void put(uint8_t byte)
{
    if (held == ROOM) {
        return; /* no PC sends so much; a lost command is sent again */
    }
    to_board[(from + held++) % ROOM] = byte;
    if (held == 1) {
        schedule_set(byte_arrives, chip_now() + cycles_of_s(BITS_PER_BYTE / options->baud));
        chip_reschedule();
    }
}

/* The part is turned when the PC is ready for it: at the end of the first line that says `start`. */
static void listen_for_start(uint8_t byte, cycle_t now)
{
    if (byte != '\n') {
        line[length] = (char)byte;
        length += length + 1 < sizeof line;
        return;
    }
    line[length] = 0;
    length = 0;
    char *verb = strstr(line, VERB);
    if (options->begin_s < 0 && verb && (verb == line || verb[-1] == ' ')) {
        shaft_turn(now);
    }
}

static cycle_t byte_arrives(cycle_t now)
{
    uint8_t byte = to_board[from];
    from = (from + 1) % ROOM;
    held--;
    wire_counters.heard++;
    chip_receive(byte);
    listen_for_start(byte, now);
    return held ? now + cycles_of_s(BITS_PER_BYTE / options->baud) : NEVER;
}

static cycle_t say(cycle_t now)
{
    (void)now;
    for (const char *at = options->lines[said].text; *at; at++) {
        put((uint8_t)*at);
    }
    put('\n');
    said++;
    return said < options->line_count ? cycles_of_s(options->lines[said].at_s) : NEVER;
}

static int by_time(const void *one, const void *other)
{
    double difference = ((const command_line_t *)one)->at_s - ((const command_line_t *)other)->at_s;
    return difference < 0 ? -1 : difference > 0;
}

void wire_begin(const options_t *given)
{
    static options_t sorted;
    sorted = *given;
    qsort(sorted.lines, (size_t)sorted.line_count, sizeof *sorted.lines, by_time);
    options = &sorted;
    flip_chance = chance_row(options->seed, 4);
    lose_chance = chance_row(options->seed, 5);
    if (options->stream && !(stream = fopen(options->stream, "wb"))) {
        perror(options->stream);
        exit(2);
    }
    if (options->line_count) {
        schedule_set(say, cycles_of_s(options->lines[0].at_s));
        chip_reschedule();
    }
}

void wire_from_board(uint8_t byte)
{
    wire_counters.sent++;
    if (chance_one_in(&flip_chance, options->flip_in)) {
        byte ^= (uint8_t)(1u << (chance_bits(&flip_chance) & 7));
        wire_counters.flipped++;
    }
    if (chance_one_in(&lose_chance, options->lose_in)) {
        wire_counters.lost++;
        return;
    }
    if (stream) {
        fputc(byte, stream);
    }
    if (options->port && !terminal_put(byte)) {
        wire_counters.lost++;
    }
}

void wire_from_pc(void)
{
    uint8_t bytes[256];
    size_t found = terminal_read(bytes, sizeof bytes);
    for (size_t at = 0; at < found; at++) {
        put(bytes[at]);
    }
}

void wire_end(void)
{
    if (stream && fclose(stream) != 0) {
        perror("bench: stream");
    }
}
