#include "truth.h"

#include <stdio.h>
#include <stdlib.h>

static FILE *file;
static int boot;

void truth_open(const char *path)
{
    if (!path) {
        return;
    }
    file = fopen(path, "w");
    if (!file) {
        perror(path);
        exit(2);
    }
    fputs("t_us,count,indicator_raw,analogue_raw,boot\n", file);
}

void truth_indicator(uint32_t t_us, long count, long raw)
{
    if (file) {
        fprintf(file, "%lu,%ld,%ld,,%d\n", (unsigned long)t_us, count, raw, boot);
    }
}

void truth_probe(uint32_t t_us, long count, long raw)
{
    if (file) {
        fprintf(file, "%lu,%ld,,%ld,%d\n", (unsigned long)t_us, count, raw, boot);
    }
}

void truth_new_boot(void)
{
    boot++;
}

void truth_close(void)
{
    if (file && fclose(file) != 0) {
        perror("bench: truth");
    }
}
