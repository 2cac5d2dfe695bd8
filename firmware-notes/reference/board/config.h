/* What may be changed for another board or another encoder. Everything else follows from here. */
#ifndef CONFIG_H
#define CONFIG_H

#ifndef F_CPU
#define F_CPU 16000000UL
#endif
_Static_assert(F_CPU == 16000000UL, "clock and probe are timed for 16 MHz: at another crystal every time is wrong");

/* 250000, 500000 and 1000000 come out exactly at 16 MHz; 115200 is 2.1 % fast, which most adapters bear. */
#ifndef BAUD
#define BAUD 500000UL
#endif

/* Each board its own, so that two boards on one bench are told apart. */
#ifndef DEVICE_ID
#define DEVICE_ID 0x51AB0002UL
#endif

/* Edges a turn of the encoder, after x4: four times the lines printed on it. 0 = none fitted. */
#ifndef COUNTS_PER_TURN
#define COUNTS_PER_TURN 2400UL
#endif

/* Where clock and count begin at a reset. Only for trying what happens when they run over. */
#ifndef FIRST_US
#define FIRST_US 0UL
#endif
#ifndef FIRST_COUNT
#define FIRST_COUNT 0L
#endif

#define FIRMWARE_MAJOR 1
#define FIRMWARE_MINOR 0

/* Measured in the emulator with everything else running at once (README, "How fast"), with room kept. */
#define MAX_EDGES_PER_S 20000UL

#define MAX_RATE_HZ 2000U

#endif
