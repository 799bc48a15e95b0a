#include "outputs.h"

#include "../hal.h"
#include "clock.h"
#include "faults.h"
#include "log.h"
#include "overlays.h"
#include "state.h"

#define FULL 0xFFu
#define START_WAIT 2u
#define NEVER 0xFFFFFFFFu

static struct {
  uint8_t table[OUTPUTS]; /* what the table asks for, lag included */
  uint8_t still[OUTPUTS]; /* minutes in which that surely stays so */
  struct table_limits limits;
  uint32_t started; /* the clock's second at the start */
  bool waiting;     /* some output still waits */
  bool settled;     /* nothing can change before the table or an overlay does */
  uint32_t limit_at; /* seconds processed at which the first output reaches its limit */
  uint8_t bound;
  uint8_t minute; /* second of the minute of beat.second */
} out;

static bool waits(uint8_t output) { return beat.second < out.started + START_WAIT + output; }

void outputs_start(uint32_t clock_second) {
  out.started = clock_second;
  out.waiting = true;
  kept.shown = 0;
  for (uint8_t output = 0; output < hal_output_count(); output++) hal_output(output, 0);
}

void outputs_shift(uint32_t step) { out.started += step; }
bool outputs_waiting(void) { return out.waiting; }

static void ask_table(uint8_t output) {
  bool asks = clock_known() && running_slot != NO_SLOT;
  out.still[output] = 0;
  out.table[output] = asks ? table_level(&running, output, beat.second - output, &out.still[output]) : 0;
}

void outputs_refresh(void) {
  out.limits = table_limits(&running);
  out.bound = running_slot == NO_SLOT ? FULL : table_outputs(&running);
  out.minute = (uint8_t)(beat.second % 60u);
  for (uint8_t output = 0; output < hal_output_count(); output++) ask_table(output);
  out.settled = false;
}

uint8_t outputs_target(uint8_t output) {
  uint8_t level;
  if (output >= hal_output_count()) return 0;
  if (hand_covers(output, beat.second, &level)) return level;
  if ((out.bound & (1u << output)) && work_covers(output, beat.second)) return FULL;
  return out.table[output];
}

uint8_t outputs_level(uint8_t output) { return waits(output) ? 0 : kept.out[output].level; }

static void show(uint8_t output) {
  uint8_t level = outputs_level(output);
  uint8_t bit = (uint8_t)(1u << output);
  uint8_t shown = (uint8_t)(level != 0 ? kept.shown | bit : kept.shown & ~bit);
  if (shown != kept.shown) kept_dirty = true;
  kept.shown = shown;
  hal_output(output, level);
}

/* A held output with nothing asked is let go; one on for the limit is held. */
static void hold(uint8_t output, uint8_t target) {
  uint8_t bit = (uint8_t)(1u << output);
  uint32_t limit = out.limits.longest_minutes * (uint32_t)60u;
  uint8_t held = kept.held;
  if (target == 0) {
    held = (uint8_t)(held & ~bit);
  } else if (limit != 0 && kept.out[output].level != 0 && seconds_processed() - kept.out[output].changed >= limit) {
    held = (uint8_t)(held | bit);
  }
  if (held == kept.held) return;
  kept.held = held;
  kept_dirty = true;
}

/* Switches one output toward its target; false while dwell keeps it. */
static bool switch_output(uint8_t output) {
  uint8_t target = outputs_target(output);
  hold(output, target);
  bool held = (kept.held & (1u << output)) != 0;
  uint8_t wanted = held ? 0 : target;
  bool on = kept.out[output].level != 0;
  if (wanted == kept.out[output].level) return true;
  if (!(held && on) && seconds_processed() - kept.out[output].changed < out.limits.dwell) return false;
  if (on != (wanted != 0)) kept.out[output].changed = seconds_processed();
  kept.out[output].level = wanted;
  kept_dirty = true;
  return true;
}

static void find_limit(void) {
  uint32_t limit = out.limits.longest_minutes * (uint32_t)60u;
  out.limit_at = NEVER;
  if (limit == 0) return;
  for (uint8_t output = 0; output < hal_output_count(); output++) {
    if (kept.out[output].level == 0) continue;
    uint32_t at = kept.out[output].changed + limit;
    if (at < out.limit_at) out.limit_at = at;
  }
}

static void switch_all(void) {
  bool settled = true;
  for (uint8_t output = 0; output < hal_output_count(); output++) {
    if (!switch_output(output)) settled = false;
    show(output);
  }
  if (out.waiting && !waits((uint8_t)(hal_output_count() - 1u))) out.waiting = false;
  out.settled = settled && !out.waiting && !overlays_active();
  find_limit();
  fault_set(LOG_FAULT_LONGEST_ON, kept.held != 0, kept.held);
}

/* Another minute of `output`'s own, lagging time begins. */
static void next_minute(uint8_t output) {
  uint8_t before = out.table[output];
  if (out.still[output] > 0) {
    out.still[output]--;
    return;
  }
  ask_table(output);
  if (out.table[output] != before) out.settled = false;
}

bool outputs_process(void) {
  out.minute = (uint8_t)(out.minute >= 59 ? 0 : out.minute + 1u);
  if (out.minute < hal_output_count() && clock_known()) next_minute(out.minute);
  if (out.settled && seconds_processed() < out.limit_at) return false;
  outputs_count(beat.second);
  switch_all();
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    if (outputs_target(output) != kept.out[output].traced) return true;
  }
  return false;
}

void outputs_react(void) {
  outputs_count(beat.second + 1u);
  switch_all();
  out.settled = false; /* the trace has yet to see it */
}

void outputs_count(uint32_t second) {
  uint32_t gone = second - kept.on_counted;
  if (gone == 0) return;
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    if (kept.shown & (1u << output)) kept.out[output].on_seconds += gone;
  }
  kept.on_counted = second;
  kept_dirty = true;
}
