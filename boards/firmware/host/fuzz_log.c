/*
 * fuzz_log.c: whatever bytes as what a log memory holds, record by record (bit 0 of
 * the byte before each: its CRC is made right), then a start, a day of life, and
 * another start.
 *
 * Always holds: every record found has the number that was asked for; nothing
 * that was found before is lost by a start; numbers only grow.
 */
#include <string.h>

#include "../core/controller.h"
#include "../core/crc.h"
#include "../core/log.h"
#include "../core/state.h"
#include "fuzz.h"

#define RECORDS (LOG_BYTES / LOG_RECORD_BYTES)

static void fill(struct input *in) {
  for (uint16_t n = 0; in->left > 0 && n < RECORDS; n++) {
    uint8_t *record = world.log + LOG_RECORD_BYTES * take(in);
    uint8_t how = take(in);
    for (uint8_t at = 0; at < LOG_RECORD_BYTES; at++) record[at] = take(in);
    if ((how & 1u) == 0) continue;
    uint16_t crc = crc16(record, LOG_RECORD_BYTES - 2u);
    record[LOG_RECORD_BYTES - 2u] = (uint8_t)crc;
    record[LOG_RECORD_BYTES - 1u] = (uint8_t)(crc >> 8);
  }
}

static uint32_t number_of(const uint8_t *record) {
  return record[0] | ((uint32_t)record[1] << 8) | ((uint32_t)record[2] << 16);
}

/* Counts the records that can be read, each as the one that was asked for. */
static uint16_t count(void) {
  uint16_t found = 0;
  uint32_t newest = log_newest();
  uint32_t oldest = log_oldest();
  HOLD(oldest <= newest && newest - oldest < LOG_RING_RECORDS);
  HOLD((oldest == 0) == (newest == 0));
  for (uint32_t sequence = oldest; newest != 0 && sequence <= newest; sequence++) {
    uint8_t record[LOG_RECORD_BYTES];
    if (!log_read(sequence, record)) continue;
    HOLD((uint16_t)number_of(record) == (uint16_t)sequence);
    found++;
  }
  return found;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size) {
  struct input in = {bytes, size};
  static const uint8_t nothing[15] = {0, 0, 0, 0, 0, 0x1C, 0x25, 1, 2, 3, 4};
  world_new();
  world.second = 9500u * 86400u + take32(&in) % 86400u;
  fuzz_put_table(nothing, sizeof nothing, 0);
  fill(&in);
  log_start();
  uint32_t newest = log_newest();
  uint16_t found = count();
  world_start(1);
  HOLD(newest >= 0xFFFF00u || log_newest() >= newest);
  world_seconds(600, true);
  newest = log_newest();
  found = count();
  world_start(4);
  HOLD(newest >= 0xFFFF00u || (log_newest() == newest && count() >= found));
  return 0;
}
