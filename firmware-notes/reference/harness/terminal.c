#define _GNU_SOURCE
#include "terminal.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#define ROOM 65536 /* what a driver and an adapter hold for a PC that is busy elsewhere */

static int board = -1;
static int pc = -1; /* held open too, so that a PC that closes the port and opens it again finds it as it was */
static uint8_t waiting[ROOM];
static size_t from;
static size_t held;
static bool let_go;

void terminal_plug(const char *link)
{
    char path[256];
    struct termios raw;
    if (openpty(&board, &pc, path, NULL, NULL) != 0) {
        perror("bench: no pseudo-terminal");
        exit(2);
    }
    tcgetattr(pc, &raw);
    cfmakeraw(&raw);
    tcsetattr(pc, TCSANOW, &raw);
    fcntl(board, F_SETFL, O_NONBLOCK);
    if (link) {
        unlink(link);
        if (symlink(path, link) != 0) {
            perror(link);
            exit(2);
        }
    }
    printf("PORT %s\n", path);
    fflush(stdout);
}

void terminal_pull(void)
{
    close(board);
    close(pc);
    board = pc = -1;
    held = from = 0;
}

bool terminal_plugged(void)
{
    return board >= 0;
}

bool terminal_put(uint8_t byte)
{
    if (board < 0 || held == ROOM) {
        return false;
    }
    waiting[(from + held++) % ROOM] = byte;
    return true;
}

size_t terminal_flush(void)
{
    while (board >= 0 && held) {
        size_t run = from + held > ROOM ? ROOM - from : held;
        ssize_t done = write(board, waiting + from, run);
        if (done <= 0) {
            break;
        }
        from = (from + (size_t)done) % ROOM;
        held -= (size_t)done;
    }
    return held;
}

size_t terminal_read(uint8_t *bytes, size_t most)
{
    ssize_t found = board < 0 || most == 0 ? 0 : read(board, bytes, most);
    return found > 0 ? (size_t)found : 0;
}

void terminal_wait(double seconds, bool for_sending)
{
    struct pollfd on[2] = {{0, POLLIN, 0}, {board, for_sending ? POLLOUT : POLLIN, 0}};
    struct pollfd *first = let_go ? on + 1 : on;
    poll(first, board < 0 ? (let_go ? 0 : 1) : (nfds_t)(on + 2 - first), (int)(seconds * 1000));
}

bool terminal_let_go(void)
{
    struct pollfd on = {0, POLLIN, 0};
    char heap[256];
    while (!let_go && poll(&on, 1, 0) > 0) {
        let_go = read(0, heap, sizeof heap) <= 0;
    }
    return let_go;
}
