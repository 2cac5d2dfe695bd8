/* What the tips ride on: whole orders of runout and a bearing's own motion. Knows nothing of time. */
#ifndef SURFACE_H
#define SURFACE_H

#include "options.h"

/* Reading of a perfect gauge at an unwrapped angle in turns: mm, tip pushed in = positive. */
double surface_mm(const options_t *options, double turns);

#endif
