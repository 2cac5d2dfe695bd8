/* Random numbers that a seed fixes: the same on every machine. Each use has a row of its own, so that one more
 * draw somewhere changes nothing elsewhere. */
#ifndef CHANCE_H
#define CHANCE_H

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    uint64_t state;
} chance_t;

chance_t chance_row(uint64_t seed, uint64_t row);
uint64_t chance_bits(chance_t *row);

/* True once in so many; never for 0. */
bool chance_one_in(chance_t *row, uint64_t many);

/* Normal, mean 0, standard deviation 1. */
double chance_normal(chance_t *row);

#endif
