#include "options.h"

#include <getopt.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SECONDS_MOST 3600.0

static const char usage[] =
    "bench BOARD.elf [options]: the reference board in an emulator, on a pseudo-terminal.\n"
    "What it measures\n"
    "  --order N,TIR_MM,DEG      an order of the runout and where it is high; may be repeated\n"
    "  --ball-pass MM[,PER_TURN] amplitude of a bearing's own motion (0.41 a turn)\n"
    "  --move TURNS,S[,RIPPLE]   turn so far in so long, 0 turns = stand; may be repeated\n"
    "  --begin S                 when that begins (else at the first `start`)\n"
    "  --words HZ                words of the indicator a second (50), --bit-us US (200)\n"
    "  --indicator-noise MM (0.0008), --probe-noise MM (0.0003), --seed N (1)\n"
    "  --counts N (2400), --index-width COUNTS (6), --press COUNT may be repeated\n"
    "What goes wrong\n"
    "  --bad-word N              one indicator word in N has a wrong check bit, an edge too few or too many\n"
    "  --bounce EDGES,MS         contacts of the button bounce (6 edges 0.6 ms apart)\n"
    "  --open-index HZ           nothing on the index pin but hum, where no pull-up holds it\n"
    "  --flip N, --lose N        one byte in N from the board has a bit turned over, is lost\n"
    "  --unplug S,FOR_S  --reset S  --hold S (late hello)\n"
    "  --first-us N, --first-count N  where clock and count of this firmware begin (0)\n"
    "How it runs\n"
    "  --say S,TEXT              send a command line at that time; may be repeated\n"
    "  --no-port                 no pseudo-terminal: only what is said by time\n"
    "  --link PATH               symbolic link to the port, renewed after a replug\n"
    "  --stream FILE, --truth FILE, --free (not paced to real time), --baud N (500000)\n"
    "  --seconds S (60), --wall S (120)  ends of simulated and of real time\n";

static void refuse(const char *format, ...)
{
    va_list values;
    va_start(values, format);
    fputs("bench: ", stderr);
    vfprintf(stderr, format, values);
    fputc('\n', stderr);
    va_end(values);
    exit(2);
}

/* Read `least` to `most` numbers parted by commas; those not given keep their value. */
static void numbers(const char *name, const char *text, double *values, int least, int most)
{
    int found = 0;
    const char *at = text;
    while (found < most) {
        char *end;
        values[found] = strtod(at, &end);
        if (end == at || !isfinite(values[found])) {
            refuse("--%s %s: expected %d to %d numbers parted by commas", name, text, least, most);
        }
        found++;
        at = end;
        if (*at != ',') {
            break;
        }
        at++;
    }
    if (found < least || *at) {
        refuse("--%s %s: expected %d to %d numbers parted by commas", name, text, least, most);
    }
}

static double one(const char *name, const char *text, double least, double most)
{
    double value;
    numbers(name, text, &value, 1, 1);
    if (value < least || value > most) {
        refuse("--%s %s: expected %g to %g", name, text, least, most);
    }
    return value;
}

static void room(const char *name, int count, int most)
{
    if (count >= most) {
        refuse("--%s: at most %d of them", name, most);
    }
}

enum {
    ORDER = 256, BALL_PASS, MOVE, BEGIN, WORDS, BIT_US, INDICATOR_NOISE, PROBE_NOISE, SEED, COUNTS, INDEX_WIDTH,
    PRESS, BAD_WORD, FLIP, LOSE, UNPLUG, RESET, HOLD, SAY, NO_PORT, LINK, STREAM, TRUTH, FREE, BAUD, SECONDS, WALL,
    FIRST_US, FIRST_COUNT, BOUNCE, OPEN_INDEX,
    HELP,
};

static const struct option known[] = {
    {"order", 1, 0, ORDER}, {"ball-pass", 1, 0, BALL_PASS}, {"move", 1, 0, MOVE}, {"begin", 1, 0, BEGIN},
    {"words", 1, 0, WORDS}, {"bit-us", 1, 0, BIT_US}, {"indicator-noise", 1, 0, INDICATOR_NOISE},
    {"probe-noise", 1, 0, PROBE_NOISE}, {"seed", 1, 0, SEED}, {"counts", 1, 0, COUNTS},
    {"index-width", 1, 0, INDEX_WIDTH}, {"press", 1, 0, PRESS}, {"bad-word", 1, 0, BAD_WORD}, {"flip", 1, 0, FLIP},
    {"lose", 1, 0, LOSE}, {"unplug", 1, 0, UNPLUG}, {"reset", 1, 0, RESET}, {"hold", 1, 0, HOLD}, {"say", 1, 0, SAY},
    {"no-port", 0, 0, NO_PORT}, {"link", 1, 0, LINK}, {"stream", 1, 0, STREAM}, {"truth", 1, 0, TRUTH},
    {"free", 0, 0, FREE}, {"baud", 1, 0, BAUD}, {"seconds", 1, 0, SECONDS}, {"wall", 1, 0, WALL}, {"help", 0, 0, HELP},
    {"first-us", 1, 0, FIRST_US}, {"first-count", 1, 0, FIRST_COUNT},
    {"bounce", 1, 0, BOUNCE}, {"open-index", 1, 0, OPEN_INDEX},
    {0, 0, 0, 0},
};

static const options_t as_it_stands = {
    .seed = 1, .ball_pass_per_turn = 0.41, .begin_s = -1, .words_per_s = 50, .bit_us = 200,
    .indicator_noise_mm = 0.0008, .probe_noise_mm = 0.0003, .counts_per_turn = 2400, .index_width = 6,
    .bounces = 6, .bounce_ms = 0.6,
    .reset_s = -1, .unplug_s = -1, .port = true, .paced = true, .baud = 500000, .seconds = 60, .wall_s = 120,
};

static void add_order(options_t *o, const char *text)
{
    double v[3];
    room("order", o->order_count, ORDERS_MOST);
    numbers("order", text, v, 3, 3);
    o->orders[o->order_count++] = (order_t){(int)v[0], v[1], v[2]};
}

static void add_move(options_t *o, const char *text)
{
    double v[3] = {0, 0, 0};
    room("move", o->move_count, MOVES_MOST);
    numbers("move", text, v, 2, 3);
    if (v[1] <= 0 || v[2] < 0 || v[2] >= 1) {
        refuse("--move %s: expected a time above 0 and a ripple from 0 to below 1", text);
    }
    o->moves[o->move_count++] = (move_t){v[0], v[1], v[2]};
}

static void add_line(options_t *o, const char *text)
{
    const char *comma = strchr(text, ',');
    room("say", o->line_count, LINES_MOST);
    if (!comma) {
        refuse("--say %s: expected a time, a comma and the command", text);
    }
    char *end;
    double at_s = strtod(text, &end);
    if (end != comma || !(at_s >= 0)) {
        refuse("--say %s: expected a time, a comma and the command", text);
    }
    o->lines[o->line_count++] = (command_line_t){at_s, comma + 1};
}

static void set_bounce(options_t *o, const char *text)
{
    double v[2];
    numbers("bounce", text, v, 2, 2);
    if (v[0] < 2 || v[0] > 100 || fmod(v[0], 2) != 0 || v[1] <= 0) {
        refuse("--bounce %s: expected an even number of edges from 2 to 100 and a time above 0", text);
    }
    o->bounces = (int)v[0];
    o->bounce_ms = v[1];
}

static void take(options_t *o, int option, const char *name, const char *text)
{
    double v[2];
    switch (option) {
    case ORDER: add_order(o, text); break;
    case BALL_PASS:
        v[1] = o->ball_pass_per_turn;
        numbers(name, text, v, 1, 2);
        o->ball_pass_mm = v[0];
        o->ball_pass_per_turn = v[1];
        break;
    case MOVE: add_move(o, text); break;
    case BEGIN: o->begin_s = one(name, text, 0, SECONDS_MOST); break;
    case WORDS: o->words_per_s = one(name, text, 0, 150); break;
    case BIT_US: o->bit_us = one(name, text, 10, 1000); break;
    case INDICATOR_NOISE: o->indicator_noise_mm = one(name, text, 0, 1); break;
    case PROBE_NOISE: o->probe_noise_mm = one(name, text, 0, 1); break;
    case SEED: o->seed = (uint64_t)one(name, text, 0, 1e15); break;
    case COUNTS: o->counts_per_turn = (long)one(name, text, 4, 1e6); break;
    case INDEX_WIDTH: o->index_width = (long)one(name, text, 0, 1e6); break;
    case PRESS:
        room(name, o->press_count, PRESSES_MOST);
        o->presses[o->press_count++] = (long)one(name, text, -1e9, 1e9);
        break;
    case BOUNCE: set_bounce(o, text); break;
    case OPEN_INDEX: o->open_index_hz = one(name, text, 0, 1000); break;
    case BAD_WORD: o->bad_word_in = (uint64_t)one(name, text, 0, 1e9); break;
    case FLIP: o->flip_in = (uint64_t)one(name, text, 0, 1e12); break;
    case LOSE: o->lose_in = (uint64_t)one(name, text, 0, 1e12); break;
    case UNPLUG:
        numbers(name, text, v, 2, 2);
        o->unplug_s = v[0];
        o->unplug_for_s = v[1];
        break;
    case RESET: o->reset_s = one(name, text, 0, SECONDS_MOST); break;
    case HOLD: o->hold_s = one(name, text, 0, 60); break;
    case SAY: add_line(o, text); break;
    case NO_PORT: o->port = false; break;
    case LINK: o->link = text; break;
    case STREAM: o->stream = text; break;
    case TRUTH: o->truth = text; break;
    case FREE: o->paced = false; break;
    case BAUD: o->baud = one(name, text, 1200, 2e6); break;
    case SECONDS: o->seconds = one(name, text, 0.001, SECONDS_MOST); break;
    case WALL: o->wall_s = one(name, text, 0.1, SECONDS_MOST); break;
    case FIRST_US: o->first_us = (uint32_t)one(name, text, 0, UINT32_MAX); break;
    case FIRST_COUNT: o->first_count = (int32_t)one(name, text, INT32_MIN, INT32_MAX); break;
    case HELP: fputs(usage, stdout); exit(0);
    default: refuse("--help tells what there is");
    }
}

options_t options_read(int argc, char **argv)
{
    options_t o = as_it_stands;
    int which = 0;
    for (int option; (option = getopt_long(argc, argv, "", known, &which)) != -1;) {
        take(&o, option, option == '?' ? "" : known[which].name, optarg);
    }
    if (optind + 1 != argc) {
        refuse("expected one firmware file; --help tells what there is");
    }
    o.elf = argv[optind];
    if (o.index_width >= o.counts_per_turn) {
        refuse("--index-width %ld: expected less than a turn", o.index_width);
    }
    if (o.words_per_s * (24 * o.bit_us + 3000) > 1e6) {
        refuse("--words %g: words of 24 bits of %g us leave no pause of 3 ms", o.words_per_s, o.bit_us);
    }
    if (!o.port) {
        o.paced = false;
    }
    return o;
}
