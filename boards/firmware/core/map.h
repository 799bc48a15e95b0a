/*
 * map.h: what stands behind coils and registers.
 *
 * Always holds: addresses as on the wire; answers are 0 or a Modbus exception,
 * or MAP_WAIT when the work is not done yet.
 */
#ifndef MAP_H
#define MAP_H

#include <stdbool.h>
#include <stdint.h>

#define MAP_OK 0u
#define MAP_WAIT 0xFFu

void map_start(void);

/* Whether `count` coils, input or holding registers from `address` can be read. */
uint8_t map_check_coils(uint16_t address, uint16_t count);
uint8_t map_check_inputs(uint16_t address, uint16_t count);
uint8_t map_check_holdings(uint16_t address, uint16_t count);
bool map_coil(uint16_t address);
uint16_t map_input(uint16_t address);
uint16_t map_holding(uint16_t address);

/* True when the board has what `coil` switches. */
bool map_has_coil(uint16_t coil);
/* Writes coils: bit n of `values` is coil address + n. */
uint8_t map_write_coils(uint16_t address, uint16_t count, uint16_t values);
/* Begins to write registers; `bytes` stay until it is done. */
uint8_t map_write(uint16_t address, uint16_t count, const uint8_t *bytes);
/* Goes on with what map_write began. */
uint8_t map_go_on(void);

#endif
