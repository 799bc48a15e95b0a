#include "faults.h"

#include "../generated/contract.h"
#include "log.h"
#include "state.h"

#define QUIET_SECONDS ((int32_t)LAW_FAULT_QUIET_SECONDS)

void fault_set(uint8_t fault, bool present, int16_t detail) {
  uint16_t bit = (uint16_t)FAULT_BIT(fault);
  uint32_t *changed = &kept.fault_changed[fault - 1u];
  uint32_t since = *changed;
  if (present == ((kept.fault_present & bit) != 0)) return;
  kept.fault_present ^= bit;
  kept_dirty = true;
  bool quiet = (kept.fault_unlogged & bit) != 0;
  if (present) quiet = since != 0 && (int32_t)(last_second() - since) < QUIET_SECONDS;
  if (quiet) {
    kept.fault_unlogged ^= bit;
    return;
  }
  *changed = last_second();
  if (present) since = (uint32_t)(int32_t)detail;
  log_event(LOG_RECORD_TYPE_FAULT, (uint16_t)(fault | (present << 8)), (uint16_t)since, (uint16_t)(since >> 16));
}
