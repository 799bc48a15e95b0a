#include "controller.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "clock.h"
#include "day.h"
#include "faults.h"
#include "link.h"
#include "log.h"
#include "outputs.h"
#include "overlays.h"
#include "pulse.h"
#include "room.h"
#include "state.h"
#include "storage.h"
#include "trial.h"
#include "visits.h"

#define SMALL_STEP 120
#define PROBE_PREPARE 58u
#define SUPPLY_NEEDED 4500u

static struct {
  uint16_t session;
  uint8_t cause;
} boot;

uint16_t controller_session(void) { return boot.session; }
uint8_t controller_cause(void) { return boot.cause; }

static void check_supply(void) {
  uint16_t supply = hal_supply();
  bool low = supply != 0 && supply < SUPPLY_NEEDED;
  if (low != FAULT_IS_PRESENT(LOG_FAULT_SUPPLY_LOW)) fault_set(LOG_FAULT_SUPPLY_LOW, low, supply);
}

static void check_clock_faults(void) {
  fault_set(LOG_FAULT_CLOCK_STOPPED, clock_estimated(), 0);
  fault_set(LOG_FAULT_CLOCK_MISSING, !clock_answering(), 0);
}

/* A log memory that did not answer is tried again. */
static void check_log(void) {
  if (log_present() && !fault_present(LOG_FAULT_LOG_MISSING)) return;
  log_start();
  if (log_present()) visits_rebuild();
  fault_set(LOG_FAULT_LOG_MISSING, !log_present(), 0);
}

/* Faults that the hardware's own tests decide. */
#define HARDWARE_FAULTS                                                        \
  ((1u << (LOG_FAULT_PIN_READ_BACK - 1u)) | (1u << (LOG_FAULT_FLASH - 1u)) |   \
   (1u << (LOG_FAULT_MEMORY - 1u)) | (1u << (LOG_FAULT_STACK - 1u)) |          \
   (1u << (LOG_FAULT_TICK_DRIFT - 1u)))

static void check_found(uint16_t found, uint8_t fault, uint8_t detail) {
  fault_set(fault, (found & (uint16_t)(1u << (fault - 1u))) != 0, detail);
}

static void check_hardware(void) {
  uint8_t outputs = 0;
  uint16_t found = hal_self_test(&outputs);
  if (found == (kept.fault_present & HARDWARE_FAULTS)) return;
  check_found(found, LOG_FAULT_PIN_READ_BACK, outputs);
  check_found(found, LOG_FAULT_FLASH, 0);
  check_found(found, LOG_FAULT_MEMORY, 0);
  check_found(found, LOG_FAULT_STACK, 0);
  check_found(found, LOG_FAULT_TICK_DRIFT, 0);
}

/* ---- a second ---- */

static void whole_minute(void) {
  check_log();
  room_minute(kept.day_open);
  if (!clock_known()) return;
  visits_minute();
  clock_write_alive(beat.second);
}

/* Second of the minute, without a division each second. */
static uint8_t second_of_minute(void) {
  static uint32_t last;
  static uint8_t in_minute;
  in_minute = (uint8_t)(beat.second == last + 1u ? (in_minute >= 59 ? 0u : in_minute + 1u) : beat.second % 60u);
  last = beat.second;
  return in_minute;
}

static void process(uint32_t second) {
  beat.second = second;
  beat_dirty = true;
  check_supply();
  trial_end();
  overlays_end();
  uint8_t in_minute = second_of_minute();
  day_turn(in_minute == 0);
  if (in_minute == 0) whole_minute();
  if (in_minute == PROBE_PREPARE) hal_probe_prepare();
  if ((in_minute & 7u) == 0) check_hardware();
  bool changed = outputs_process();
  if (changed || !kept.trace_begun) day_trace();
}

/* A step too large to live through: deadlines move along. */
static void move_to(uint32_t second) {
  uint32_t step = second - beat.second;
  overlays_shift(step);
  trial_shift(step);
  outputs_shift(step);
  kept.count_shift -= step;
  beat.second = second;
}

/* Processes the second moved to. */
static void process_moved(void) {
  uint32_t second = beat.second;
  beat.second--;
  kept.count_shift++; /* one more second is being processed, not the same again */
  outputs_refresh();
  process(second);
}

static bool is_large(int32_t step) { return step > SMALL_STEP || step < -SMALL_STEP; }

/* Brings the seconds processed up to the clock's. */
static void catch_up(void) {
  int32_t step = (int32_t)(clock_second - beat.second);
  if (is_large(step)) {
    day_step(clock_second);
    move_to(clock_second);
    process_moved();
    return;
  }
  for (; step > 0; step--) process(beat.second + 1u);
}

static void tick(enum hal_tick how) {
  clock_tick();
  if (how == HAL_TICK_SILENT && !fault_present(LOG_FAULT_TICK_LOST)) clock_tick(); /* said after two seconds */
  if (how == HAL_TICK_SILENT || clock_whole_minute()) {
    clock_read();
    check_clock_faults();
  }
  bool silent = how == HAL_TICK_SILENT;
  if (silent != FAULT_IS_PRESENT(LOG_FAULT_TICK_LOST)) fault_set(LOG_FAULT_TICK_LOST, silent, 0);
  if (clock_second == beat.second + 1u) {
    process(clock_second); /* as nearly always */
  } else {
    catch_up();
  }
  pulse_second();
}

/* `to` - `from` as a record holds it. */
static int32_t forward(uint32_t from, uint32_t to) {
  uint32_t size = to >= from ? to - from : from - to;
  if (size > 0x7FFFFFFFu) return to >= from ? INT32_MAX : INT32_MIN;
  return to >= from ? (int32_t)size : -(int32_t)size;
}

bool controller_set_clock(uint32_t second, uint8_t sub_second) {
  uint32_t old = clock_second;
  uint8_t old_sub = hal_sub_second();
  struct record record;
  if (!hal_clock_answers()) return false;
  if (sub_second >= 128) second++;
  bool large = !clock_known() || is_large((int32_t)(second - beat.second));
  if (large) day_step(second);
  if (!clock_set(second)) return false;
  record_begin(&record, LOG_RECORD_TYPE_CLOCK_SET);
  record_u32(&record, second);
  record_u32(&record, (uint32_t)forward(old, second));
  record_u8(&record, old_sub);
  record_write(&record);
  if (large) move_to(second);
  check_clock_faults();
  if (large) {
    process_moved();
  } else {
    catch_up();
  }
  return true;
}

/* ---- a start ---- */

static void write_boot(uint8_t cause, uint32_t outage) {
  struct record record;
  record_event(&record, LOG_RECORD_TYPE_BOOT);
  record_u8(&record, cause);
  record_u16(&record, (uint16_t)outage);
  record_u8(&record, (uint8_t)(outage >> 16));
  record_u16(&record, kept.resets);
  record_write(&record);
}

/* Whole minutes since the controller was last alive. */
static uint32_t outage_minutes(void) {
  uint32_t alive = clock_last_alive();
  if (alive == 0 || !clock_known()) return LOG_OUTAGE_UNKNOWN;
  return clock_second > alive ? (clock_second - alive) / 60u : 0;
}

static void start_afresh(void) {
  uint32_t outage = outage_minutes();
  kept.outage = outage < OUTAGE_REGISTER_UNKNOWN ? (uint16_t)outage : OUTAGE_REGISTER_UNKNOWN;
  kept.visits_checked = clock_last_alive() < clock_second ? clock_last_alive() : clock_second;
  kept.upload_session = boot.session;
  beat.second = clock_second;
  kept.count_shift -= clock_second;
  beat_dirty = true;
  write_boot(boot.cause, outage);
}

static void start_faults(bool mended, uint8_t copy) {
  check_clock_faults();
  fault_set(LOG_FAULT_LOG_MISSING, !log_present(), 0);
  check_supply();
  trial_tell_faults();
  check_hardware();
  if (mended) {
    fault_set(LOG_FAULT_SETTINGS_MENDED, true, copy);
    fault_set(LOG_FAULT_SETTINGS_MENDED, false, copy);
  }
}

static bool find_state(void) {
  bool kept_power = boot.cause == LOG_BOOT_CAUSE_EXTERNAL || boot.cause == LOG_BOOT_CAUSE_WATCHDOG;
  if (kept_power && state_valid()) return true;
  state_clear();
  return false;
}

static void count_reset(void) {
  outputs_count(beat.second + 1u);
  if (kept.resets < 0xFFFFu) kept.resets++;
  if (boot.cause != LOG_BOOT_CAUSE_WATCHDOG) day_count_reset();
  kept_dirty = true;
}

static void find_session(void) {
  boot.session = (uint16_t)(clock_second + kept.resets);
  if (boot.session == 0) boot.session = 1;
}

/* From what the start found to the first seconds. */
static void first_seconds(bool retained) {
  hal_probe_prepare();
  outputs_refresh();
  if (retained) {
    catch_up();
  } else {
    visits_check();
    beat.second = clock_second - 1u;
    outputs_refresh();
    process(clock_second);
  }
  visits_refresh();
  pulse_second();
}

void controller_start(void) {
  uint8_t copy;
  boot.cause = hal_boot_cause();
  bool retained = find_state();
  bool mended = storage_start(&copy);
  log_start();
  clock_start(retained && kept.day_open ? beat.second : 0);
  trial_start(retained && boot.cause == LOG_BOOT_CAUSE_EXTERNAL);
  if (retained) count_reset();
  find_session();
  outputs_start(clock_second);
  visits_rebuild();
  if (!retained) {
    start_afresh();
  } else if (boot.cause == LOG_BOOT_CAUSE_WATCHDOG) {
    write_boot(boot.cause, outage_minutes());
  }
  trial_log_start();
  start_faults(mended, copy);
  first_seconds(retained);
  link_start();
  state_seal();
}

void controller_poll(void) {
  enum hal_tick how = hal_tick_take();
  if (how != HAL_TICK_NONE && !hal_eeprom_busy()) tick(how);
  switch (hal_press_take()) {
    case HAL_PRESS_SHORT: visits_press(); break;
    case HAL_PRESS_LONG:
      if (work_running()) {
        work_finish();
      } else {
        work_begin();
      }
      outputs_react();
      break;
    default: break;
  }
  link_poll();
  state_seal();
}
