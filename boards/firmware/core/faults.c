#include "faults.h"

#include "clock.h"
#include "log.h"
#include "state.h"

#define QUIET_SECONDS 3600
#define ESTIMATED 0x80u

uint8_t record_type(uint8_t type) { return (uint8_t)(clock_estimated() ? type | ESTIMATED : type); }

void record_event(struct record *record, uint8_t type) {
  record_begin(record, record_type(type));
  record_u32(record, last_second());
}

static uint16_t bit_of(uint8_t fault) { return (uint16_t)(1u << (fault - 1u)); }

bool fault_present(uint8_t fault) { return (kept.fault_present & bit_of(fault)) != 0; }

static void write_fault(uint8_t fault, bool entered, uint32_t detail) {
  struct record record;
  record_event(&record, LOG_RECORD_TYPE_FAULT);
  record_u8(&record, fault);
  record_u8(&record, entered ? 1 : 0);
  record_u32(&record, detail);
  record_write(&record);
}

static void enter(uint8_t fault, uint32_t detail) {
  uint16_t bit = bit_of(fault);
  uint32_t left = kept.fault_left[fault - 1u];
  bool quiet = left != 0 && (int32_t)(last_second() - left) < QUIET_SECONDS;
  kept.fault_present = (uint16_t)(kept.fault_present | bit);
  if (quiet) {
    kept.fault_unlogged = (uint16_t)(kept.fault_unlogged | bit);
  } else {
    write_fault(fault, true, detail);
  }
}

static void leave(uint8_t fault, uint32_t detail) {
  uint16_t bit = bit_of(fault);
  kept.fault_present = (uint16_t)(kept.fault_present & ~bit);
  if (kept.fault_unlogged & bit) {
    kept.fault_unlogged = (uint16_t)(kept.fault_unlogged & ~bit);
    return;
  }
  kept.fault_left[fault - 1u] = last_second();
  write_fault(fault, false, detail);
}

void fault_set(uint8_t fault, bool present, uint32_t detail) {
  if (present == fault_present(fault)) return;
  kept_dirty = true;
  if (present) {
    enter(fault, detail);
  } else {
    leave(fault, detail);
  }
}
