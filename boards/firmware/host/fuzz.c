/*
 * fuzz.c: see fuzz.h.
 */
#include "fuzz.h"

#include <string.h>

#include "../core/crc.h"

void world_said(uint8_t byte) { (void)byte; }

static void put16(uint8_t *at, uint16_t value) {
  at[0] = (uint8_t)value;
  at[1] = (uint8_t)(value >> 8);
}

void fuzz_put_table(const uint8_t *table, uint16_t length, int raw) {
  uint8_t *slot = world.eeprom;
  uint8_t *at = slot + STORE_MARK_BYTES;
  memcpy(at, table, length);
  if (!raw && length >= 15) {
    uint32_t crc = 0xFFFFFFFFu;
    at[0] = 0x4C;
    at[1] = 0x57;
    at[2] = 1;
    put16(at + 3, length);
    for (uint16_t byte = 0; byte < length - 4u; byte++) crc = crc32_step(crc, at[byte]);
    crc = ~crc;
    put16(at + length - 4, (uint16_t)crc);
    put16(at + length - 2, (uint16_t)(crc >> 16));
  }
  slot[STORE_MARK_SEAL] = STORE_SEALED;
  slot[STORE_MARK_CONFIRM] = STORE_CONFIRMED;
  slot[STORE_MARK_SEQUENCE] = 1;
  put16(slot + STORE_MARK_LENGTH, length);
  put16(slot + STORE_MARK_CHECK, crc16(slot + STORE_MARK_SEQUENCE, STORE_MARK_CHECK - STORE_MARK_SEQUENCE));
}
