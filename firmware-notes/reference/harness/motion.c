#include "motion.h"

#include <math.h>

typedef struct {
    cycle_t start; /* from the beginning of the motion */
    cycle_t end;
    double from_turns;
    double to_turns;
    double ripple;
} piece_t;

static piece_t pieces[MOVES_MOST];
static int count;
static cycle_t began = NEVER;

void motion_plan(const options_t *options)
{
    double turns = 0;
    double seconds = 0;
    for (count = 0; count < options->move_count; count++) {
        const move_t *move = &options->moves[count];
        pieces[count] = (piece_t){
            cycles_of_s(seconds), cycles_of_s(seconds + move->seconds), turns, turns + move->turns, move->ripple,
        };
        seconds += move->seconds;
        turns += move->turns;
    }
}

void motion_begin(cycle_t now)
{
    if (began == NEVER) {
        began = now;
    }
}

static double turns_within(const piece_t *piece, cycle_t since)
{
    double part = (double)(since - piece->start) / (double)(piece->end - piece->start);
    double share = part - piece->ripple * sin(2 * M_PI * part) / (2 * M_PI);
    return piece->from_turns + (piece->to_turns - piece->from_turns) * share;
}

double motion_turns(cycle_t now)
{
    if (began == NEVER || now <= began) {
        return 0;
    }
    cycle_t since = now - began;
    for (int i = 0; i < count; i++) {
        if (since < pieces[i].end) {
            return turns_within(&pieces[i], since);
        }
    }
    return count ? pieces[count - 1].to_turns : 0;
}

cycle_t motion_passes(cycle_t now, double above_turns, double below_turns, int *way)
{
    if (began == NEVER) {
        return NEVER;
    }
    cycle_t since = now > began ? now - began : 0;
    for (int i = 0; i < count; i++) {
        const piece_t *piece = &pieces[i];
        bool rises = piece->to_turns > piece->from_turns;
        double wanted = rises ? above_turns : below_turns;
        bool reached = rises ? piece->to_turns >= wanted : piece->to_turns < wanted;
        if (piece->end <= since || piece->to_turns == piece->from_turns || !reached) {
            continue;
        }
        cycle_t low = since > piece->start ? since : piece->start;
        cycle_t high = piece->end;
        while (low < high) { /* speed never changes its sign within a piece */
            cycle_t middle = low + (high - low) / 2;
            double turns = middle == piece->end ? piece->to_turns : turns_within(piece, middle);
            if (rises ? turns >= wanted : turns < wanted) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        *way = rises ? 1 : -1;
        return began + low;
    }
    return NEVER;
}
