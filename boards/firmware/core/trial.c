#include "trial.h"

#include "../generated/contract.h"
#include "day.h"
#include "faults.h"
#include "log.h"
#include "outputs.h"
#include "state.h"
#include "storage.h"
#include "visits.h"

#define TRIAL_SECONDS 120u
#define BY_REQUEST 0x80u
#define BY_RESTART 0x40u

static uint8_t damaged;  /* slots that are sealed but hold no table */
static uint8_t given_up; /* slot reverted at the start; NO_SLOT: none */

bool trial_running(void) { return kept.trial_slot != NO_SLOT; }
uint8_t trial_free_slot(void) { return running_slot == 0 ? 1 : 0; }

static void write_table_event(uint8_t type, const struct table *table, uint8_t slot, uint8_t flags) {
  struct record record;
  record_event(&record, type);
  record_u32(&record, table_crc(table));
  record_u8(&record, slot_sequence(slot));
  record_u8(&record, (uint8_t)(slot | flags));
  record_write(&record);
}

static void run_confirmed(void) {
  running_slot = storage_choose(&running, &damaged);
}

void trial_start(bool keep_trial) {
  running_slot = storage_choose(&running, &damaged);
  given_up = NO_SLOT;
  if (!keep_trial) kept.trial_slot = NO_SLOT;
  if (trial_running() && slot_open(kept.trial_slot, &running)) {
    running_slot = kept.trial_slot;
  } else {
    kept.trial_slot = NO_SLOT;
    run_confirmed();
  }
  for (uint8_t slot = 0; slot < STORE_SLOT_COUNT; slot++) {
    struct table table;
    if (slot != running_slot && !slot_confirmed(slot) && slot_open(slot, &table)) given_up = slot;
  }
  kept_dirty = true;
}

/* Logs that the table in `slot` was given up, and clears its seal. */
static void revert(uint8_t slot, uint8_t flags) {
  struct table table;
  if (slot_open(slot, &table)) write_table_event(LOG_RECORD_TYPE_REVERTED, &table, slot, flags);
  storage_begin(JOB_GIVE_UP, slot);
}

void trial_log_start(void) {
  if (trial_running() && slot_confirmed(kept.trial_slot)) trial_confirm();
  if (given_up != NO_SLOT) revert(given_up, BY_RESTART);
}

void trial_tell_faults(void) {
  fault_set(LOG_FAULT_NO_TABLE, running_slot == NO_SLOT, 0);
  fault_set(LOG_FAULT_SLOT_DAMAGED, damaged != 0, (damaged & 1u) ? 0 : 1);
}

/* Another table runs from now on. */
static void changed(void) {
  trial_tell_faults();
  day_doubt();
  outputs_refresh();
  visits_refresh();
  kept_dirty = true;
}

void trial_cleared(uint8_t slot) {
  damaged = (uint8_t)(damaged & ~(1u << slot));
  trial_tell_faults();
}

void trial_commit(uint8_t slot) {
  kept.trial_slot = slot;
  kept.trial_end = last_second() + TRIAL_SECONDS;
  slot_open(slot, &running);
  running_slot = slot;
  write_table_event(LOG_RECORD_TYPE_COMMITTED, &running, slot, 0);
  changed();
}

void trial_confirm(void) {
  kept.trial_slot = NO_SLOT;
  kept_dirty = true;
  write_table_event(LOG_RECORD_TYPE_CONFIRMED, &running, running_slot, 0);
}

static void end_with(uint8_t flags) {
  uint8_t slot = kept.trial_slot;
  kept.trial_slot = NO_SLOT;
  revert(slot, flags);
  run_confirmed();
  changed();
}

void trial_end(void) {
  if (!trial_running() || kept.trial_end > last_second() || !storage_idle()) return;
  end_with(0);
}

bool trial_give_up(void) {
  if (!storage_idle()) return false;
  end_with(BY_REQUEST);
  return true;
}

void trial_shift(uint32_t step) { kept.trial_end += step; }

uint16_t trial_left(void) {
  if (!trial_running() || kept.trial_end <= last_second()) return 0;
  return (uint16_t)(kept.trial_end - last_second());
}
