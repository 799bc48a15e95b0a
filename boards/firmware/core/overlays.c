#include "overlays.h"

#include "../generated/contract.h"
#include "log.h"
#include "state.h"

#define WORK_SECONDS LAW_WORK_LIGHT_SECONDS
#define FULL 0xFFu

static void write_hand(uint8_t outputs, uint8_t level, bool staggered) {
  if (outputs != 0) log_event(LOG_RECORD_TYPE_HAND, (uint16_t)(outputs | (level << 8)), kept.hand_minutes, staggered);
}

static void write_hand_end(uint8_t outputs, uint8_t why) {
  if (outputs != 0) log_event(LOG_RECORD_TYPE_HAND_END, (uint16_t)(outputs | (why << 8)), 0, 0);
}

static void write_work(uint8_t begins, uint16_t seconds) {
  log_event(LOG_RECORD_TYPE_WORK_LIGHT, (uint16_t)(begins | (seconds << 8)), seconds >> 8, 0);
}

void hand_switch(uint8_t outputs, uint8_t on, bool staggered) {
  struct kept_output *own = kept.out;
  uint8_t bit = 1;
  for (uint8_t output = 0; output < OUTPUTS; output++, own++, bit = (uint8_t)(bit << 1)) {
    if (!(outputs & bit)) continue;
    uint8_t level = (on & bit) ? FULL : 0;
    uint8_t wait = staggered ? output : 0;
    bool again = own->hand_left != 0 && own->hand_level == level && !(kept.hand_released & bit);
    own->hand_left = (uint16_t)(wait + kept.hand_minutes * 60u);
    if (again) { /* nothing new, but that it lasts longer */
      outputs = (uint8_t)(outputs & ~bit);
      continue;
    }
    own->hand_wait = wait;
    own->hand_level = level;
  }
  kept.hand_released = (uint8_t)(kept.hand_released & ~outputs);
  write_hand(outputs & on, FULL, staggered);
  write_hand((uint8_t)(outputs & ~on), 0, staggered);
}

void hand_release(void) {
  struct kept_output *own = kept.out;
  uint8_t bit = 1;
  uint8_t released = 0;
  for (uint8_t output = 0; output < OUTPUTS; output++, own++, bit = (uint8_t)(bit << 1)) {
    if (own->hand_left == 0 || (kept.hand_released & bit)) continue;
    if (own->hand_left > output) own->hand_left = output;
    released |= bit;
  }
  kept.hand_released |= released;
  write_hand_end(released, LOG_HAND_END_RELEASED);
}

static uint16_t hand_left(void) {
  uint16_t most = 0;
  for (const struct kept_output *own = kept.out; own < kept.out + OUTPUTS; own++) {
    if (own->hand_left > most) most = own->hand_left;
  }
  return most;
}

bool hand_running(void) { return hand_left() != 0; }
bool work_running(void) { return kept.work_left != 0; }

uint16_t overlays_left(void) {
  uint16_t most = hand_left();
  return kept.work_left > most ? kept.work_left : most;
}

void work_begin(void) {
  if (!work_running()) kept.work_lit = 1; /* outputs still lit from before begin their turn anew */
  kept.work_left = WORK_SECONDS;
  write_work(1, WORK_SECONDS);
}

void work_finish(void) {
  if (!work_running()) return;
  kept.work_left = 0;
  kept.work_lit = (uint8_t)(kept.work_lit & ~1u);
  write_work(0, 0);
}

void overlays_second(void) {
  struct kept_output *own = kept.out;
  uint8_t ended = 0;
  for (uint8_t bit = 1; bit != 0; bit = (uint8_t)(bit << 1), own++) {
    if (own->hand_left == 0) continue;
    if (own->hand_wait != 0) own->hand_wait--;
    if (--own->hand_left == 0) ended |= bit;
  }
  write_hand_end((uint8_t)(ended & ~kept.hand_released), LOG_HAND_END_RAN_OUT);
  if (kept.work_lit == 0) return;
  kept.work_lit = (uint8_t)(kept.work_lit << 1);
  if (kept.work_left == 0) return;
  if (--kept.work_left == 0) {
    write_work(0, 0);
  } else {
    kept.work_lit |= 1u;
  }
}

void overlays_repeat(void) {
  for (struct kept_output *own = kept.out; own < kept.out + OUTPUTS; own++) {
    if (own->hand_left == 0) continue;
    own->hand_wait++;
    own->hand_left++;
  }
  if (kept.work_left != 0) kept.work_left++;
  kept.work_lit >>= 1;
}
