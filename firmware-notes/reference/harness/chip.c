#include "chip.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <avr_adc.h>
#include <avr_ioport.h>
#include <avr_uart.h>
#include <sim_avr.h>
#include <sim_elf.h>
#include <sim_io.h>

#define SUPPLY_MV 5000
#define EICRA_ADDRESS 0x69 /* of this chip: how interrupt pins are read */
#define TCCR1B_ADDRESS 0x81 /* written when the firmware starts its clock */
#define MCUSR_ADDRESS 0x54
#define PORTB_ADDRESS 0x25
#define PORTD_ADDRESS 0x2B
#define BY_RESET_PIN 0x02
#define BY_POWER_ON 0x01

static const struct {
    char port;
    int bit;
    bool idle;
} wires[PINS] = {
    [ENCODER_A] = {'D', 2, true}, [ENCODER_B] = {'D', 3, true}, [INDEX] = {'D', 4, false},
    [BUTTON] = {'D', 5, true},    [CLOCK] = {'B', 0, false},    [DATA] = {'B', 1, false},
};

static avr_t *avr;
static elf_firmware_t firmware;
static chip_events_t told;
static cycle_t before_reset;
static cycle_t clock_started;
static bool encoder_wired;
static bool running_schedule;
static bool levels[PINS];

static void quiet(struct avr_t *chip, const int level, const char *format, va_list values)
{
    (void)chip;
    if (level <= LOG_ERROR) {
        vfprintf(stderr, format, values);
    }
}

cycle_t chip_now(void)
{
    return before_reset + avr->cycle;
}

uint32_t chip_firmware_us(cycle_t now)
{
    return (uint32_t)((now - clock_started) / 16);
}

static avr_cycle_count_t due(struct avr_t *chip, avr_cycle_count_t when, void *param)
{
    (void)chip;
    (void)when;
    (void)param;
    running_schedule = true;
    schedule_run(chip_now());
    running_schedule = false;
    cycle_t next = schedule_next();
    return next == NEVER ? 0 : next - before_reset;
}

void chip_reschedule(void)
{
    if (running_schedule) {
        return; /* it is looked at again when what runs has run */
    }
    avr_cycle_timer_cancel(avr, due, NULL);
    cycle_t next = schedule_next();
    if (next != NEVER) {
        cycle_t now = chip_now();
        avr_cycle_timer_register(avr, next > now ? next - now : 1, due, NULL);
    }
}

static void raise_pin(pin_t pin)
{
    char port = wires[pin].port;
    /* What is driven from outside must also be what the emulator falls back to when the port is written. */
    avr_ioport_external_t outside = {.name = (unsigned char)port, .mask = 0, .value = 0};
    for (int other = 0; other < PINS; other++) {
        if (wires[other].port == port) {
            outside.mask |= 1u << wires[other].bit;
            outside.value |= (unsigned)levels[other] << wires[other].bit;
        }
    }
    avr_ioctl(avr, AVR_IOCTL_IOPORT_SET_EXTERNAL(port), &outside);
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(port), wires[pin].bit), levels[pin]);
}

void chip_pin(pin_t pin, bool high)
{
    if ((pin == ENCODER_A || pin == ENCODER_B) && !encoder_wired) {
        return; /* a low level here would be polled for ever, see the head of this module */
    }
    if (levels[pin] != high) {
        levels[pin] = high;
        raise_pin(pin);
    }
}

bool chip_pulled_up(pin_t pin)
{
    return avr->data[wires[pin].port == 'B' ? PORTB_ADDRESS : PORTD_ADDRESS] >> wires[pin].bit & 1;
}

void chip_receive(uint8_t byte)
{
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT), byte);
}

static void sent(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    (void)param;
    told.byte_sent((uint8_t)value);
}

static void conversion(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    (void)value;
    (void)param;
    int wanted = told.converts(chip_now());
    /* The emulator takes millivolts and scales them in whole numbers: find those that give this reading. */
    uint32_t mv = (uint32_t)((wanted * SUPPLY_MV + 0x3FF - 1) / 0x3FF);
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0), mv);
}

static void edges_asked_for(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    (void)param;
    if (value && !encoder_wired) {
        encoder_wired = true;
        told.encoder_heard();
    }
}

static void clock_starts(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    (void)param;
    if (value) {
        clock_started = chip_now();
    }
}

static void no_sleep(struct avr_t *chip, avr_cycle_count_t cycles)
{
    (void)chip;
    (void)cycles; /* pacing is not the chip's business */
}

static void wire_up(uint8_t cause)
{
    uint32_t flags = 0; /* neither printing what is sent nor sleeping when nothing comes */
    avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
    avr->data[MCUSR_ADDRESS] = cause;
    for (int pin = 0; pin < PINS; pin++) {
        raise_pin((pin_t)pin);
    }
    chip_reschedule();
}

void chip_power_up(const char *elf, chip_events_t events)
{
    told = events;
    avr_global_logger_set(quiet);
    if (elf_read_firmware(elf, &firmware) != 0) {
        fprintf(stderr, "bench: %s is no firmware that can be read: make it first\n", elf);
        exit(2);
    }
    avr = avr_make_mcu_by_name("atmega328p");
    if (!avr) {
        fputs("bench: this emulator does not know the chip\n", stderr);
        exit(2);
    }
    avr_init(avr);
    avr->frequency = firmware.frequency = (uint32_t)CYCLES_PER_S;
    avr_load_firmware(avr, &firmware);
    avr->vcc = avr->avcc = avr->aref = SUPPLY_MV;
    avr->sleep = no_sleep;
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), sent, NULL);
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_OUT_TRIGGER), conversion, NULL);
    avr_irq_register_notify(avr_iomem_getirq(avr, EICRA_ADDRESS, NULL, AVR_IOMEM_IRQ_ALL), edges_asked_for, NULL);
    avr_irq_register_notify(avr_iomem_getirq(avr, TCCR1B_ADDRESS, NULL, AVR_IOMEM_IRQ_ALL), clock_starts, NULL);
    for (int pin = 0; pin < PINS; pin++) {
        levels[pin] = wires[pin].idle;
    }
    wire_up(BY_POWER_ON);
}

void chip_reset(void)
{
    levels[ENCODER_A] = levels[ENCODER_B] = true;
    raise_pin(ENCODER_A);
    raise_pin(ENCODER_B);
    encoder_wired = false;
    cycle_t now = chip_now();
    avr_reset(avr);
    before_reset = now - avr->cycle;
    wire_up(BY_RESET_PIN);
}

bool chip_run_until(cycle_t when)
{
    while (chip_now() < when) {
        int state = avr_run(avr);
        if (state == cpu_Done || state == cpu_Crashed) {
            return false;
        }
    }
    return true;
}
