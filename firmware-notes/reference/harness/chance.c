#include "chance.h"

#include <math.h>

/* Steele, Lea, Flood: Fast splittable pseudorandom number generators, OOPSLA 2014 (the 64-bit mixer). */
uint64_t chance_bits(chance_t *row)
{
    uint64_t z = (row->state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

chance_t chance_row(uint64_t seed, uint64_t row)
{
    chance_t start = {seed};
    chance_t made = {chance_bits(&start) ^ (row * 0xD1342543DE82EF95u)};
    chance_bits(&made);
    return made;
}

bool chance_one_in(chance_t *row, uint64_t many)
{
    return many && chance_bits(row) % many == 0;
}

static double share(chance_t *row)
{
    return (double)(chance_bits(row) >> 11) * 0x1p-53;
}

double chance_normal(chance_t *row)
{
    double radius = sqrt(-2 * log(1 - share(row)));
    return radius * cos(2 * M_PI * share(row));
}
