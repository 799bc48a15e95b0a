#include "overlays.h"

#include "faults.h"
#include "log.h"
#include "state.h"

#define WORK_SECONDS 600u
#define FULL 0xFFu

bool hand_covers(uint8_t output, uint32_t second, uint8_t *level) {
  if (second < kept.out[output].hand_begin || second >= kept.out[output].hand_end) return false;
  *level = kept.out[output].hand_level;
  return true;
}

bool work_covers(uint8_t output, uint32_t second) {
  return second >= kept.work_begin + output && second < kept.work_end + output;
}

static void write_hand(uint8_t outputs, uint8_t level, bool staggered) {
  struct record record;
  if (outputs == 0) return;
  record_event(&record, LOG_RECORD_TYPE_HAND);
  record_u8(&record, outputs);
  record_u8(&record, level);
  record_u16(&record, kept.hand_minutes);
  record_u8(&record, staggered ? 1 : 0);
  record_write(&record);
}

static void write_hand_end(uint8_t outputs, uint8_t why) {
  struct record record;
  if (outputs == 0) return;
  record_event(&record, LOG_RECORD_TYPE_HAND_END);
  record_u8(&record, outputs);
  record_u8(&record, why);
  record_write(&record);
}

void hand_switch(uint8_t outputs, uint8_t on, bool staggered) {
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    uint8_t bit = (uint8_t)(1u << output);
    if (!(outputs & bit)) continue;
    kept.out[output].hand_begin = last_second() + (staggered ? output : 0u);
    kept.out[output].hand_end = kept.out[output].hand_begin + kept.hand_minutes * (uint32_t)60u;
    kept.out[output].hand_level = (on & bit) ? FULL : 0;
    kept.hand_released = (uint8_t)(kept.hand_released & ~bit);
  }
  kept.hands = (uint8_t)(kept.hands | outputs);
  kept_dirty = true;
  write_hand(outputs & on, FULL, staggered);
  write_hand((uint8_t)(outputs & ~on), 0, staggered);
}

void hand_release(void) {
  uint8_t released = 0;
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    uint8_t bit = (uint8_t)(1u << output);
    uint32_t end = last_second() + output;
    if (kept.out[output].hand_end <= last_second() || (kept.hand_released & bit)) continue;
    released = (uint8_t)(released | bit);
    if (end < kept.out[output].hand_end) kept.out[output].hand_end = end;
  }
  kept.hand_released = (uint8_t)(kept.hand_released | released);
  kept_dirty = true;
  write_hand_end(released, LOG_HAND_END_RELEASED);
}

bool hand_running(void) {
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    if (kept.out[output].hand_end > last_second()) return true;
  }
  return false;
}

static void write_work(uint8_t begins, uint16_t seconds) {
  struct record record;
  record_event(&record, LOG_RECORD_TYPE_WORK_LIGHT);
  record_u8(&record, begins);
  record_u16(&record, seconds);
  record_write(&record);
}

bool work_running(void) { return kept.work_open && last_second() < kept.work_end; }

void work_begin(void) {
  if (!work_running()) kept.work_begin = last_second();
  kept.work_end = last_second() + WORK_SECONDS;
  kept.work_open = true;
  kept_dirty = true;
  write_work(1, WORK_SECONDS);
}

void work_finish(void) {
  if (!work_running()) return;
  kept.work_end = last_second();
  kept.work_open = false;
  kept_dirty = true;
  write_work(0, 0);
}

static void hands_end(void) {
  uint8_t ended = 0;
  if (kept.hands == 0) return;
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    if (kept.out[output].hand_end == 0 || kept.out[output].hand_end > last_second()) continue;
    kept.out[output].hand_end = 0;
    ended = (uint8_t)(ended | (1u << output));
  }
  if (ended == 0) return;
  kept_dirty = true;
  kept.hands = (uint8_t)(kept.hands & ~ended);
  uint8_t unlogged = (uint8_t)(ended & ~kept.hand_released);
  kept.hand_released = (uint8_t)(kept.hand_released & ~ended);
  write_hand_end(unlogged, LOG_HAND_END_RAN_OUT);
}

void overlays_end(void) {
  hands_end();
  if (!kept.work_open || kept.work_end > last_second()) return;
  kept.work_open = false;
  kept_dirty = true;
  write_work(0, 0);
}

void overlays_shift(uint32_t step) {
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    if (kept.out[output].hand_end == 0) continue;
    kept.out[output].hand_begin += step;
    kept.out[output].hand_end += step;
  }
  kept_dirty = true;
  if (kept.work_end == 0) return;
  kept.work_begin += step;
  kept.work_end += step;
  kept_dirty = true;
}

uint16_t overlays_left(void) {
  uint32_t latest = work_running() ? kept.work_end : last_second();
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    if (kept.out[output].hand_end > latest) latest = kept.out[output].hand_end;
  }
  return (uint16_t)(latest - last_second());
}

bool overlays_active(void) {
  return kept.hands != 0 || kept.work_open || last_second() < kept.work_end + OUTPUTS;
}
