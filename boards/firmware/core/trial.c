#include "trial.h"

#include "../generated/contract.h"
#include "apart.h"
#include "day.h"
#include "faults.h"
#include "log.h"
#include "outputs.h"
#include "state.h"
#include "storage.h"
#include "visits.h"

#define TRIAL_SECONDS LAW_TRIAL_SECONDS
#define BY_REQUEST 0x80u
#define BY_RESTART 0x40u

static uint8_t damaged; /* slots that are sealed but hold no table */

APART bool trial_running(void) { return kept.trial_slot != NO_SLOT; }
uint8_t trial_free_slot(void) { return running_slot == 0 ? 1 : 0; }

/* About the table that is open in `running`, which lies in `slot`. */
static void write_table_event(uint8_t type, uint8_t slot, uint8_t flags) {
  uint32_t crc = table_crc(&running);
  log_event(type, (uint16_t)crc, (uint16_t)(crc >> 16), (uint16_t)(slot_sequence(slot) | ((slot | flags) << 8)));
}

static void run_confirmed(void) { running_slot = storage_choose(&running, &damaged); }

void trial_start(bool keep_trial) {
  run_confirmed();
  if (!keep_trial) kept.trial_slot = NO_SLOT;
  if (slot_open(kept.trial_slot, &running)) {
    running_slot = kept.trial_slot;
  } else {
    kept.trial_slot = NO_SLOT;
    run_confirmed();
  }
  kept_dirty = true;
}

/* Logs that the table in `slot`, open in `running`, is given up, and clears its seal. */
static void revert(uint8_t slot, uint8_t flags) {
  write_table_event(LOG_RECORD_TYPE_REVERTED, slot, flags);
  storage_clear(slot);
}

void trial_log_start(void) {
  if (trial_running() && slot_confirmed(kept.trial_slot)) trial_confirm();
  for (uint8_t slot = 0; slot < STORE_SLOT_COUNT; slot++) {
    if (slot != running_slot && !slot_confirmed(slot) && slot_open(slot, &running)) revert(slot, BY_RESTART);
  }
  slot_open(running_slot, &running);
}

void trial_tell_faults(void) {
  fault_set(LOG_FAULT_NO_TABLE, running_slot == NO_SLOT, 0);
  fault_set(LOG_FAULT_SLOT_DAMAGED, damaged != 0, damaged == 2);
}

/* Another table runs from now on. */
static void changed(void) {
  trial_tell_faults();
  day_doubt();
  outputs_refresh();
  outputs_in_turn(beat.second + 1u);
  visits_refresh();
  kept_dirty = true;
}

void trial_cleared(void) {
  damaged = (uint8_t)(damaged & (running_slot == 0 ? 1u : 2u));
  trial_tell_faults();
}

void trial_commit(void) {
  uint8_t slot = trial_free_slot();
  kept.trial_slot = slot;
  kept.trial_left = TRIAL_SECONDS;
  slot_open(slot, &running);
  running_slot = slot;
  write_table_event(LOG_RECORD_TYPE_COMMITTED, slot, 0);
  changed();
}

void trial_confirm(void) {
  kept.trial_slot = NO_SLOT;
  kept_dirty = true;
  write_table_event(LOG_RECORD_TYPE_CONFIRMED, running_slot, 0);
}

static void end_with(uint8_t flags) {
  kept.trial_slot = NO_SLOT;
  revert(running_slot, flags);
  run_confirmed();
  changed();
}

void trial_end(void) {
  if (!trial_running()) return;
  kept_dirty = true;
  if (kept.trial_left > 0) kept.trial_left--;
  if (kept.trial_left == 0 && storage_idle()) end_with(0);
}

void trial_give_up(void) { end_with(BY_REQUEST); }

void trial_repeat(void) { kept.trial_left++; }

uint8_t trial_left(void) { return trial_running() ? kept.trial_left : 0; }
