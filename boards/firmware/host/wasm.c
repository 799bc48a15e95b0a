/*
 * wasm.c: the core as WebAssembly: what JavaScript may call. Everything in
 * hal.h is imported from JavaScript, module "env", by its own name.
 *
 * Always holds: nothing here but doors; the retained block outlives core_start
 * until core_forget, as memory outlives a reset.
 */
#include "../core/controller.h"
#include "../core/crc.h"
#include "../core/link.h"
#include "../core/state.h"
#include "../core/table.h"

#define DOOR(name) __attribute__((export_name(#name)))

static uint8_t scratch[64];
static struct table table;

/* Where JavaScript may put up to 64 bytes. */
DOOR(core_scratch) uint8_t *core_scratch(void) { return scratch; }

/* Power was lost: memory holds nothing that can be trusted. */
DOOR(core_forget) void core_forget(void) {
  kept.crc = (uint16_t)~kept.crc;
  beat.complement = beat.second;
}

/* Where the retained block lies, and its parts' sizes, to be saved and put back. */
DOOR(core_kept) uint8_t *core_kept(void) { return (uint8_t *)&kept; }
DOOR(core_kept_size) uint32_t core_kept_size(void) { return sizeof kept; }
DOOR(core_beat) uint8_t *core_beat(void) { return (uint8_t *)&beat; }
DOOR(core_beat_size) uint32_t core_beat_size(void) { return sizeof beat; }

DOOR(core_start) void core_start(void) { controller_start(); }
DOOR(core_poll) void core_poll(void) { controller_poll(); }
DOOR(core_receive) void core_receive(uint32_t byte, uint32_t silence) {
  link_receive((uint8_t)byte, (uint8_t)silence);
}
DOOR(core_busy) uint32_t core_busy(void) { return link_busy() ? 1 : 0; }

/* Opens the `length` bytes at EEPROM address `at` as a table; 0 when they are none. */
DOOR(core_table_open) uint32_t core_table_open(uint32_t at, uint32_t length) {
  return table_open(&table, (uint16_t)at, (uint16_t)length) ? 1 : 0;
}
/* Level byte of `output` (0-based) of that table at `second`, before lag. */
DOOR(core_table_level) uint32_t core_table_level(uint32_t output, uint32_t second) {
  return table_level(&table, (uint8_t)output, second);
}

DOOR(core_crc16) uint32_t core_crc16(uint32_t count) { return crc16(scratch, (uint16_t)count); }
DOOR(core_crc8) uint32_t core_crc8(uint32_t count) { return crc8(scratch, (uint8_t)count); }
DOOR(core_crc32) uint32_t core_crc32(uint32_t count) {
  uint32_t crc = 0xFFFFFFFFu;
  for (uint32_t at = 0; at < count; at++) crc = crc32_step(crc, scratch[at]);
  return ~crc;
}
