/* What is to be emulated, from the command line. */
#ifndef OPTIONS_H
#define OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

#define ORDERS_MOST 16
#define MOVES_MOST 64
#define LINES_MOST 64
#define PRESSES_MOST 16

typedef struct {
    int n;
    double tir_mm;
    double high_deg;
} order_t;

typedef struct {
    double turns; /* how far; 0 = stand still */
    double seconds;
    double ripple; /* speed is 1 - ripple of its mean at both ends, 1 + ripple in the middle */
} move_t;

typedef struct {
    double at_s;
    const char *text;
} command_line_t;

typedef struct {
    const char *elf;
    uint64_t seed;

    order_t orders[ORDERS_MOST];
    int order_count;
    double ball_pass_mm; /* amplitude of what does not repeat turn by turn */
    double ball_pass_per_turn;

    move_t moves[MOVES_MOST];
    int move_count;
    double begin_s; /* when the part begins to move; negative = at the first `start` that the board is sent */

    double words_per_s;
    double bit_us;
    double indicator_noise_mm;
    uint64_t bad_word_in; /* one word in so many is spoilt; 0 = none */
    double probe_noise_mm;

    long counts_per_turn;
    long index_width; /* counts; 0 = no index */
    long presses[PRESSES_MOST];
    int press_count;
    int bounces; /* edges of a press, and of a release: the last one stays */
    double bounce_ms; /* from edge to edge */
    double open_index_hz; /* nothing is wired to the index pin, and the mains hum on it; 0 = it is wired */

    command_line_t lines[LINES_MOST];
    int line_count;
    uint32_t first_us; /* what the firmware's clock and count begin with, if it was built so */
    int32_t first_count;
    double reset_s; /* negative = never */
    double unplug_s;
    double unplug_for_s;
    double hold_s; /* how long the board is held in reset at first, on the wall clock */
    uint64_t flip_in; /* one byte from the board in so many has a bit turned over; 0 = none */
    uint64_t lose_in; /* one byte from the board in so many is lost; 0 = none */

    bool port; /* a pseudo-terminal, or none: then the commands are those given by time */
    const char *link;
    const char *stream; /* file for the bytes that the board sends */
    const char *truth;
    bool paced; /* to real time, or as fast as it goes */
    double baud;
    double seconds; /* of simulated time */
    double wall_s; /* in all, whatever happens */
} options_t;

/* Read the command line; on a mistake says what is wrong and ends the program with status 2. */
options_t options_read(int argc, char **argv);

#endif
