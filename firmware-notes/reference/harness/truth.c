#include "truth.h"

#include <stdio.h>
#include <stdlib.h>

static FILE *file;
static int boot;
static uint32_t us_at_0;
static int32_t count_at_0;

void truth_open(const char *path, uint32_t first_us, int32_t first_count)
{
    us_at_0 = first_us;
    count_at_0 = first_count;
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

/* Both run over as they do on the wire. */
static uint32_t told_us(uint32_t t_us)
{
    return us_at_0 + t_us;
}

static int32_t told_count(long count)
{
    return (int32_t)((uint32_t)count_at_0 + (uint32_t)count);
}

void truth_indicator(uint32_t t_us, long count, long raw)
{
    if (file) {
        fprintf(file, "%u,%d,%ld,,%d\n", told_us(t_us), told_count(count), raw, boot);
    }
}

void truth_probe(uint32_t t_us, long count, long raw)
{
    if (file) {
        fprintf(file, "%u,%d,,%ld,%d\n", told_us(t_us), told_count(count), raw, boot);
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
