#include "controller.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "clock.h"
#include "day.h"
#include "faults.h"
#include "link.h"
#include "log.h"
#include "outputs.h"
#include "overlays.h"
#include "second.h"
#include "state.h"
#include "storage.h"
#include "trial.h"
#include "visits.h"

/* Whole minutes since the controller was last alive. */
static uint32_t outage_minutes(void) {
  uint32_t alive = clock_last_alive();
  if (alive == 0 || !clock_known()) return LOG_OUTAGE_UNKNOWN;
  return clock_second > alive ? (clock_second - alive) / 60u : 0;
}

static void start_faults(bool mended, uint8_t copy) {
  second_find_faults();
  fault_set(LOG_FAULT_SETTINGS_MENDED, mended, copy);
  fault_set(LOG_FAULT_SETTINGS_MENDED, false, copy);
}

static bool find_state(void) {
  bool kept_power = boot.cause == LOG_BOOT_CAUSE_EXTERNAL || boot.cause == LOG_BOOT_CAUSE_WATCHDOG;
  if (kept_power && state_valid()) return true;
  state_clear();
  return false;
}

static void count_reset(void) {
  outputs_count(true);
  if (kept.resets < 0xFFFFu) kept.resets++;
  if (boot.cause != LOG_BOOT_CAUSE_WATCHDOG) day_count_reset();
  kept_dirty = true;
}

static void find_session(void) {
  boot.session = (uint16_t)(clock_second + kept.resets);
  if (boot.session == 0) boot.session = 1;
}

APART void controller_start(void) {
  uint8_t copy;
  boot.cause = hal_boot_cause();
  bool retained = find_state();
  bool mended = storage_start(&copy);
  log_start();
  while (hal_tick_take() == HAL_TICK_EDGE) {
    /* These came before the clock is read, which knows of them. */
  }
  trial_start(retained && boot.cause == LOG_BOOT_CAUSE_EXTERNAL);
  clock_start(retained && kept.day.open ? beat.second : 0, log_last_second);
  if (retained) count_reset();
  find_session();
  uint32_t outage = outage_minutes();
  if (!retained) {
    kept.outage = (uint16_t)(outage >> 16) == 0 ? (uint16_t)outage : OUTAGE_REGISTER_UNKNOWN;
    kept.visits_checked = clock_last_alive();
    kept.upload_session = boot.session;
  }
  second_start(retained);
  outputs_start(second_later());
  visits_rebuild();
  if (!retained || boot.cause == LOG_BOOT_CAUSE_WATCHDOG) {
    log_event(LOG_RECORD_TYPE_BOOT, (uint16_t)(boot.cause | (outage << 8)), (uint16_t)(outage >> 8), kept.resets);
  }
  trial_log_start();
  start_faults(mended, copy);
  hal_probe_prepare();
  if (!retained) visits_check();
  second_first();
  link_start();
  state_seal();
}

void controller_poll(void) {
  /* While a table is being written nothing is evaluated; the tick waits. */
  enum hal_tick how = hal_eeprom_busy() ? HAL_TICK_NONE : hal_tick_take();
  if (how != HAL_TICK_NONE) second_tick(how == HAL_TICK_SILENT);
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
