#include "second.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "clock.h"
#include "day.h"
#include "faults.h"
#include "log.h"
#include "outputs.h"
#include "overlays.h"
#include "pulse.h"
#include "room.h"
#include "state.h"
#include "storage.h"
#include "trial.h"
#include "visits.h"

#define SMALL_STEP LAW_SMALL_STEP_SECONDS
#define FAR 127
#define PROBE_PREPARE 58u

static void check_supply(void) {
  bool low = storage_supply_low();
  if (low != FAULT_IS_PRESENT(LOG_FAULT_SUPPLY_LOW)) fault_set(LOG_FAULT_SUPPLY_LOW, low, (int16_t)storage_supply());
}

static void check_clock_faults(void) {
  fault_set(LOG_FAULT_CLOCK_STOPPED, clock_estimated(), 0);
  fault_set(LOG_FAULT_CLOCK_MISSING, !clock_answering(), 0);
}

/* A log memory that did not answer is tried again. */
static void check_log(void) {
  if (log_present() && !FAULT_IS_PRESENT(LOG_FAULT_LOG_MISSING)) return;
  log_start();
  if (log_present()) visits_rebuild();
  fault_set(LOG_FAULT_LOG_MISSING, !log_present(), 0);
}

/* Faults that the hardware's own tests decide: all from the first to the last but one. */
#define HARDWARE_FIRST LOG_FAULT_PIN_READ_BACK
#define HARDWARE_LAST LOG_FAULT_TICK_DRIFT
#define HARDWARE_NOT LOG_FAULT_SLOT_DAMAGED
#define HARDWARE_FAULTS \
  ((FAULT_BIT(HARDWARE_LAST + 1u) - FAULT_BIT(HARDWARE_FIRST)) & ~FAULT_BIT(HARDWARE_NOT))

static void check_hardware(void) {
  uint8_t outputs = 0;
  uint16_t found = hal_self_test(&outputs);
  if (found == (kept.fault_present & HARDWARE_FAULTS)) return;
  found >>= HARDWARE_FIRST - 1u;
  for (uint8_t fault = HARDWARE_FIRST; fault <= HARDWARE_LAST; fault++) {
    if (fault != HARDWARE_NOT) fault_set(fault, (found & 1u) != 0, outputs);
    outputs = 0; /* the first one's detail */
    found >>= 1;
  }
}

/* ---- a second ---- */

static APART void whole_minute(void) {
  room_minute();
  if (!clock_known()) return;
  visits_check();
  clock_write_alive(beat.second);
}

/* Second of the minute of the second last processed. */
static uint8_t of_minute;
/* The second last processed was moved to and is itself to be processed. */
static bool jumped;

static void find_minute(void) { of_minute = (uint8_t)(last_second() % 60u); }

static void process_next(void) {
  if (++of_minute == 60) of_minute = 0;
  if (of_minute == 0) check_log();
  beat.second = last_second() + 1u;
  check_supply();
  trial_end();
  if (!outputs_settled()) overlays_second();
  day_turn(of_minute == 0);
  if (of_minute == 0) whole_minute();
  if (of_minute == PROBE_PREPARE) hal_probe_prepare();
  if ((of_minute & 7u) == 0) check_hardware();
  bool changed = outputs_process(of_minute);
  if (changed || !kept.day.trace_begun) day_trace();
}

/* A step to the clock's second too large to live through: deadlines move along. */
static void jump(void) {
  uint32_t step = clock_second - last_second();
  overlays_repeat();
  trial_repeat();
  outputs_shift(step);
  kept.count_shift -= step;
  beat.second = clock_second;
  find_minute();
  jumped = true;
}

/* Seconds from the last processed to `second`; FAR if too many to be lived through. */
static APART int8_t step_to(uint32_t second) {
  uint32_t step = second - last_second();
  return step + SMALL_STEP > 2u * SMALL_STEP ? FAR : (int8_t)step;
}

/* Brings the seconds processed up to the clock's. */
static void catch_up(void) {
  int8_t step = step_to(clock_second);
  if (step == FAR) {
    day_step(clock_second);
    jump();
  }
  bool moved = jumped;
  if (step > 1 || moved) outputs_in_turn(clock_second);
  if (moved) {
    jumped = false;
    if (of_minute == 0) check_log();
    beat.second--;
    of_minute--;
    kept.count_shift++; /* one more second is being processed, not the same again */
    outputs_refresh();
    step = 1;
  }
  for (; step > 0; step--) process_next();
  if (moved) visits_refresh();
}

/* Whether the clock's second, which is not far from the last processed, is a whole minute still to be processed. */
static bool is_minute(void) {
  if (clock_second <= last_second()) return false;
  if ((uint8_t)clock_second == (uint8_t)(beat.second + 1u)) return of_minute == 59;
  return clock_second % 60u == 0;
}

void second_tick(bool silent) {
  bool was_silent = FAULT_IS_PRESENT(LOG_FAULT_TICK_LOST);
  clock_second++;
  if (silent && !was_silent) clock_second++; /* said after two seconds */
  bool blind = silent || hal_bus_held();
  bool minute = is_minute();
  if (minute && !blind) check_log();
  if (minute || blind) {
    clock_read(log_last_second);
    check_clock_faults();
  }
  if (silent != was_silent) fault_set(LOG_FAULT_TICK_LOST, silent, 0);
  catch_up();
  pulse_second(of_minute);
}

/* How far `second` lies ahead of the clock, as a record holds it: an i32, saturating. */
static uint32_t forward(uint32_t second) {
  uint32_t step = second - clock_second;
  bool looks_back = (uint8_t)(step >> 24) >= 0x80u;
  if (second < clock_second) return looks_back ? step : 0x80000000u;
  return looks_back ? 0x7FFFFFFFu : step;
}

bool second_set_clock(uint32_t second, uint8_t sub_second) {
  uint8_t old_sub = hal_sub_second();
  if (!hal_clock_answers()) return false;
  if (sub_second >= 128) second++;
  uint32_t step = forward(second);
  bool far = !clock_known() || step_to(second) == FAR;
  if (far) day_step(second);
  if (!clock_set(second)) return false;
  log_event(LOG_RECORD_TYPE_CLOCK_SET, (uint16_t)step, (uint16_t)(step >> 16), old_sub);
  if (far) jump();
  check_clock_faults();
  catch_up();
  return true;
}

/* ---- a start ---- */

void second_start(bool retained) {
  jumped = false;
  if (!retained) jump();
}

uint32_t second_later(void) { return step_to(clock_second) < 0 ? last_second() : clock_second; }

void second_find_faults(void) {
  check_clock_faults();
  check_log();
  check_supply();
  trial_tell_faults();
  check_hardware();
}

void second_first(void) {
  find_minute();
  outputs_refresh();
  catch_up();
  visits_refresh();
  pulse_second(of_minute);
}
