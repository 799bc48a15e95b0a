/*
 * map.h: what writing coils and registers does.
 *
 * Always holds: addresses as on the wire; answers are 0 or a Modbus exception,
 * or MAP_WAIT when the work is not done yet.
 */
#ifndef MAP_H
#define MAP_H

#include <stdbool.h>
#include <stdint.h>

#include "storage.h"

/* As storage_step answers. */
#define MAP_OK STORAGE_DONE
#define MAP_WAIT STORAGE_BUSY

void map_start(void);
bool map_upload_open(void);
/* Of the open upload or of the trial; else 0. */
uint16_t map_upload_session(void);

/* Reads coils into *values: bit n is coil address + n. */
uint8_t map_read_coils(uint16_t address, uint16_t count, uint16_t *values);
/* Writes coils: bit n of `values` is coil address + n. Not `allowed`: refused, but for a coil that lacks by its address. */
uint8_t map_write_coils(uint16_t address, uint16_t count, uint16_t values, bool allowed);
/* Begins to write 1 to 16 registers; the bytes stay until it is done. At least eight can be read. */
uint8_t map_write(uint16_t address, uint8_t count, const uint8_t *bytes);
/* Goes on with what map_write began. */
uint8_t map_go_on(void);

#endif
