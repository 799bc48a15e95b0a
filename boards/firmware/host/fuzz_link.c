/*
 * fuzz_link.c: whatever bytes as what a host, people and a bad supply do to a
 * controller: first a table that runs (its length, then its bytes), then
 * requests with a right CRC, noise, time, presses, starts.
 *
 * Always holds: a request ends; what runs is a whole table or none; the
 * controller goes on afterwards.
 */
#include <string.h>

#include "../core/controller.h"
#include "../core/crc.h"
#include "../core/link.h"
#include "../core/state.h"
#include "fuzz.h"

/* No request needs more turns than a table has bytes. */
#define TURNS 20000

static void hear(const uint8_t *bytes, uint16_t count) {
  uint16_t turns = 0;
  for (uint16_t at = 0; at < count; at++) {
    link_receive(bytes[at], at == 0 ? MAP_SILENCE_LONG : MAP_SILENCE_NONE);
    controller_poll();
  }
  for (; link_busy() && world.supply >= 4500; turns++) {
    HOLD(turns < TURNS);
    controller_poll();
  }
}

static void request(struct input *in, uint8_t count, bool right) {
  uint8_t frame[64];
  frame[0] = (uint8_t)(take(in) & 3u ? 1 : take(in));
  for (uint8_t at = 1; at < count + 1; at++) frame[at] = take(in);
  uint16_t crc = crc16(frame, (uint16_t)(count + 1u));
  frame[count + 1] = (uint8_t)(crc ^ (right ? 0 : 1));
  frame[count + 2] = (uint8_t)(crc >> 8);
  hear(frame, (uint16_t)(count + 3u));
}

/* Bytes of a request after its unit: those of the functions that there are, and others. */
static const uint8_t SIZES[16] = {5, 5, 5, 8, 10, 12, 14, 38, 7, 8, 4, 6, 16, 3, 1, 20};

static void act(struct input *in) {
  uint8_t what = take(in);
  switch (what & 15u) {
    default: request(in, SIZES[what / 16u], true); break;
    case 8: request(in, (uint8_t)(take(in) % 45u + 1u), false); break;
    case 9: world_seconds(take(in) * 4 + 1, true); break;
    case 10: world_seconds(take(in) % 8 + 1, false); break;
    case 11:
      world.press = what & 16u ? HAL_PRESS_LONG : HAL_PRESS_SHORT;
      controller_poll();
      break;
    case 12: world_start((uint8_t)(what & 16u ? 1 : what & 32u ? 3 : 4)); break;
    case 13:
      world.clock_answers = (what & 16u) != 0;
      world.log_answers = (what & 32u) != 0;
      world.stopped = (what & 64u) != 0;
      break;
    case 14: world.second = take32(in); break;
    case 15: world.supply = (uint16_t)(4000 + (what / 16u) * 100u); break;
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size) {
  struct input in = {bytes, size};
  static const uint8_t nothing[15] = {0, 0, 0, 0, 0, 0x1C, 0x25, 1, 2, 3, 4};
  uint16_t length = (uint16_t)(take(&in) | (take(&in) << 8));
  world_new();
  world.second = 9500u * 86400u;
  fuzz_put_table(nothing, sizeof nothing, 0);
  if (length <= in.left && length <= TABLE_MAX_BYTES) {
    fuzz_put_table(in.bytes, length, 0);
    in.bytes += length;
    in.left -= length;
  }
  world_start(1);
  for (uint16_t acts = 0; in.left > 0 && acts < 60; acts++) act(&in);
  world.clock_answers = world.log_answers = true;
  world.supply = 5000;
  world_seconds(200, true);
  struct table again;
  if (running.at != TABLE_NONE) {
    HOLD(table_open(&again, running.at, table_length(&running)));
    HOLD(again.at == running.at);
  }
  return 0;
}
