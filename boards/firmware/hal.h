/*
 * hal.h: everything the core asks of the hardware. Three things stand behind
 * it: the chip (chips/), the native test program and WebAssembly (host/).
 *
 * Always holds: the core calls nothing else outside itself; no call blocks
 * longer than a log page takes to write, or 200 ms when the part stays silent.
 */
#ifndef HAL_H
#define HAL_H

#include <stdbool.h>
#include <stdint.h>

/* The board, constant while the program runs. */
uint8_t hal_output_count(void);
uint16_t hal_board_number(void);
/* Character `index` of the board's id; 0 at its end. */
char hal_board_id(uint8_t index);

/* The chip's own EEPROM. A read waits while a byte is being written. */
uint8_t hal_eeprom_read(uint16_t at);
/* Begins to write one byte; only while not busy. */
void hal_eeprom_write(uint16_t at, uint8_t value);
bool hal_eeprom_busy(void);
/* Said now and then by work that can take longer than a second. */
void hal_working(void);
/* Waits for whatever comes next; used only while a start mends marks. */
void hal_idle(void);

/* Battery clock at its register level; false when it does not answer. Writing the
 * time begins its second afresh: a tick that came before is not told any more. */
bool hal_clock_read(uint8_t reg, uint8_t *bytes, uint8_t count);
bool hal_clock_write(uint8_t reg, const uint8_t *bytes, uint8_t count);
bool hal_clock_answers(void);
/* A line of the bus to clock and log memory is held low: neither can answer. */
bool hal_bus_held(void);

/* Log memory; `count` bytes within one page of 32. False when it does not answer. */
bool hal_log_read(uint16_t at, uint8_t *bytes, uint8_t count);
bool hal_log_write(uint16_t at, const uint8_t *bytes, uint8_t count);

/* The one-second tick: nothing yet, an edge of the clock's line, or no edge for
 * 2 s by the CPU's clock (said again each second after that). */
enum hal_tick { HAL_TICK_NONE, HAL_TICK_EDGE, HAL_TICK_SILENT };
enum hal_tick hal_tick_take(void);
/* Time since the last edge in 1/256 s, at most 255. */
uint8_t hal_sub_second(void);

/* The button: nothing, a short press (on release), a long one (at 1.5 s). */
enum hal_press { HAL_PRESS_NONE, HAL_PRESS_SHORT, HAL_PRESS_LONG };
enum hal_press hal_press_take(void);

/* Output `output` (0-based) shows `level`. */
void hal_output(uint8_t output, uint8_t level);
/* Indicator and buzzer in the four quarters of this second, bit 0 first. */
void hal_signals(uint8_t light, uint8_t sound);

/* Two seconds before hal_probe: lets the probe measure. */
void hal_probe_prepare(void);
/* The probe in 1/16 degree Celsius; false when it does not answer. */
bool hal_probe(int16_t *sixteenths);
/* The supply in mV, 0 when it cannot be measured, if the chip's reference were LAW_REFERENCE_MILLIVOLTS. */
uint16_t hal_supply(void);
/* Millivolts below which nothing is written to the EEPROM. */
uint16_t hal_supply_needed(void);
/* Faults that only the hardware's own tests see, bit n - 1 for fault n; and the outputs whose pins differ. */
uint16_t hal_self_test(uint8_t *outputs);

/* Why the program started: a boot cause of the log format. */
uint8_t hal_boot_cause(void);

/* Sends a byte of a reply; hal_send_end after the last. The first waits until the
 * line has been silent for MAP_FRAME_SILENCE_MICROS. */
void hal_send(uint8_t byte);
void hal_send_end(void);

#endif
