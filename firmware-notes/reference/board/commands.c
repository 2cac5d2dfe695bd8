#include "commands.h"

#include <stdlib.h>
#include <string.h>

#include "clock.h"
#include "config.h"
#include "encoder.h"
#include "messages.h"
#include "probe.h"
#include "readings.h"
#include "samples.h"
#include "signals.h"
#include "talk.h"
#include "uart.h"

#define LINE_MOST 40
#define WORDS_MOST 4
#define AGAIN_US 2000000UL
#define BEEPS_MOST 9

typedef enum { DONE, BAD_VERB, BAD_ARGUMENTS, BAD_RANGE } outcome_t;

static const char *const why[] = {"", "verb", "arguments", "range"};

static char line[LINE_MOST + 1];
static uint8_t length;
static bool unreadable;
static uint16_t line_errors;

static char before[LINE_MOST + 1];
static uint32_t before_us;

static char answer[LINE_MOST + 8];
static bool answer_waits;
static bool answer_error;

/* Collect bytes up to a line end; true if a line that can be read is there. */
static bool line_came(void)
{
    for (int16_t byte = uart_read(); byte >= 0; byte = uart_read()) {
        if (byte == '\n') {
            bool readable = !unreadable && length > 0;
            line_errors += unreadable;
            line[length] = 0;
            unreadable = false;
            length = 0;
            if (readable) {
                return true;
            }
        } else if (byte == '\r') {
            continue;
        } else if (length == LINE_MOST || byte < ' ' || byte > '~') {
            unreadable = true;
        } else {
            line[length++] = (char)byte;
        }
    }
    return false;
}

/* A decimal number and nothing else; -1 if it is none, or above `most`. */
static int32_t number(const char *word, int32_t most)
{
    if (!*word || strlen(word) > 5) {
        return -1;
    }
    for (const char *at = word; *at; at++) {
        if (*at < '0' || *at > '9') {
            return -1;
        }
    }
    int32_t value = atol(word);
    return value <= most ? value : -1;
}

typedef enum { HELLO, START, STOP, ZERO, RATE, MODE, PING, IDENT, BEEP, LAMP, VERBS } verb_t;

static const struct {
    char name[6];
    bool takes_word;
} verbs[VERBS] = {
    [HELLO] = {"hello", false}, [START] = {"start", false}, [STOP] = {"stop", false}, [ZERO] = {"zero", false},
    [RATE] = {"rate", true},    [MODE] = {"mode", true},    [PING] = {"ping", false}, [IDENT] = {"ident", false},
    [BEEP] = {"beep", true},    [LAMP] = {"lamp", true},
};

static verb_t verb_named(const char *name)
{
    verb_t verb = 0;
    while (verb < VERBS && strcmp(name, verbs[verb].name) != 0) {
        verb++;
    }
    return verb;
}

static outcome_t set_mode(const char *word)
{
    static const char *const names[] = {[MODE_SINGLE] = "single", [MODE_BATCH] = "batch", [MODE_TEXT] = "text"};
    for (uint8_t mode = 0; mode < sizeof names / sizeof *names; mode++) {
        if (strcmp(word, names[mode]) == 0) {
            readings_set_mode((send_mode_t)mode);
            return DONE;
        }
    }
    return BAD_RANGE;
}

static outcome_t set_number(verb_t verb, const char *word)
{
    int32_t value = number(word, verb == RATE ? MAX_RATE_HZ : verb == BEEP ? BEEPS_MOST : 1);
    if (value < 0) {
        return BAD_RANGE;
    }
    if (verb == RATE) {
        probe_set_rate((uint16_t)value);
    } else if (verb == BEEP) {
        signals_beep((uint8_t)value);
    } else {
        signals_lamp(value != 0);
    }
    return DONE;
}

static outcome_t obey_verb(verb_t verb, const char *word)
{
    switch (verb) {
    case HELLO:
        talk_hello();
        return DONE;
    case START:
    case STOP:
        samples_wanted = verb == START;
        return DONE;
    case ZERO:
        encoder_zero();
        return DONE;
    case IDENT:
        signals_ident();
        return DONE;
    case MODE:
        return set_mode(word);
    case RATE:
    case BEEP:
    case LAMP:
        return set_number(verb, word);
    case PING:
        return DONE;
    default:
        return BAD_VERB;
    }
}

/* Split at single or several spaces; returns how many words, at most WORDS_MOST (more are too many anyway). */
static uint8_t split(char *text, char *words[WORDS_MOST])
{
    uint8_t found = 0;
    for (char *word = strtok(text, " "); word && found < WORDS_MOST; word = strtok(NULL, " ")) {
        words[found++] = word;
    }
    return found;
}

static void answer_with(const char *token, const char *word, const char *verb, const char *argument)
{
    answer[0] = 0;
    const char *const parts[] = {token, word, verb, argument};
    for (uint8_t at = 0; at < 4; at++) {
        if (parts[at][0]) {
            if (answer[0]) {
                strcat(answer, " ");
            }
            strcat(answer, parts[at]);
        }
    }
    answer_waits = true;
}

static void obey(bool again)
{
    char *words[WORDS_MOST];
    uint8_t count = split(line, words);
    uint8_t first = count > 0 && number(words[0], UINT16_MAX) >= 0;
    const char *token = first ? words[0] : "";
    if (count == first) {
        line_errors++; /* spaces only, or a token only: nothing to answer to */
        return;
    }
    verb_t verb = verb_named(words[first]);
    uint8_t arguments = count - first - 1;
    const char *argument = arguments == 1 ? words[first + 1] : "";
    outcome_t outcome = DONE;
    if (verb == VERBS) {
        outcome = BAD_VERB;
    } else if (arguments != verbs[verb].takes_word) {
        outcome = BAD_ARGUMENTS;
    } else if (!again || !first || verb == HELLO) {
        outcome = obey_verb(verb, argument);
    } /* else it is done already and its answer got lost; but who asks for a hello again wants one */
    answer_error = outcome != DONE;
    if (outcome == DONE) {
        answer_with(token, "ok", verbs[verb].name, argument);
    } else {
        answer_with(token, "err", why[outcome], "");
    }
}

bool commands_run(void)
{
    if (answer_waits || !line_came()) {
        return false;
    }
    uint32_t now_us = clock_now();
    bool again = strcmp(line, before) == 0 && now_us - before_us < AGAIN_US;
    strcpy(before, line);
    before_us = now_us;
    obey(again && !answer_error);
    return true;
}

bool commands_answer(void)
{
    if (!answer_waits || !message_answer(answer_error, answer)) {
        return false;
    }
    answer_waits = false;
    return true;
}

uint16_t commands_errors(void)
{
    return line_errors + uart_errors();
}
