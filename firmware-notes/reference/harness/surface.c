#include "surface.h"

#include <math.h>

double surface_mm(const options_t *options, double turns)
{
    double reading_mm = 0;
    for (int i = 0; i < options->order_count; i++) {
        const order_t *order = &options->orders[i];
        double angle = 2 * M_PI * (turns - floor(turns)) - order->high_deg * M_PI / 180;
        reading_mm += order->tir_mm / 2 * cos(order->n * angle);
    }
    if (options->ball_pass_mm != 0) {
        reading_mm += options->ball_pass_mm * cos(2 * M_PI * options->ball_pass_per_turn * turns);
    }
    return reading_mm;
}
