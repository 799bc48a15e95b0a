/*
 * fuzz_table.c: whatever bytes as a schedule table. Byte 0: bit 0, framed anew or as
 * they are; then a second; then the table.
 *
 * Always holds: a table that is taken is read within its bytes, gives the same
 * level twice, keeps it as long as it says, and its moments and seconds agree;
 * a controller runs with it, or without any.
 */
#include <string.h>

#include "../core/state.h"
#include "../core/table.h"
#include "fuzz.h"

static void ask(const struct table *table, uint32_t second) {
  struct moment reached;
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    uint8_t level = table_level(table, output, second);
    uint32_t lasting = table_lasting();
    HOLD(table_level(table, output, second) == level);
    /* A minute's seconds are alike, and what lasts to its last minute lasted before. */
    uint32_t later = second - second % 60u + lasting * 60u;
    if (later > second) HOLD(table_level(table, output, later) == level);
    if (later > second) HOLD(table_level(table, output, second + (later - second) / 2u) == level);
    table_level(table, output, second);
  }
  table_reached(table, second, &reached);
  HOLD(table_first_second(table, reached.day, reached.minute) <= second);
  (void)table_quarters(table, second);
  (void)table_outputs(table);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size) {
  struct input in = {bytes, size};
  struct table table;
  uint8_t how = take(&in);
  uint32_t second = 700000000u + take32(&in) % 400000000u;
  uint16_t length = (uint16_t)(in.left > TABLE_MAX_BYTES ? TABLE_MAX_BYTES : in.left);
  world_new();
  fuzz_put_table(in.bytes, length, how & 1);
  bool taken = table_open(&table, STORE_MARK_BYTES, length);
  HOLD(taken == (table.at != TABLE_NONE));
  if (taken) {
    uint32_t base = table.base_day * 86400u;
    for (uint8_t n = 0; n < 12; n++) ask(&table, n < 6 ? second + n * 45677u : base + n * 86399u);
  }
  world.second = second;
  world_start(1);
  world_seconds(130, true);
  HOLD(running.at == TABLE_NONE || running.at == STORE_MARK_BYTES);
  return 0;
}
