#include "state.h"

#include <stddef.h>

#include "../generated/contract.h"
#include "crc.h"

#ifdef __AVR__
#define RETAINED __attribute__((section(".noinit")))
#else
#define RETAINED
#endif

/* So that at power-on every output counts as long off: dwell and limits are u16. */
#define LONG_AGO 0x01000000u

RETAINED struct kept kept;
RETAINED struct beat beat;
bool kept_dirty;
bool beat_dirty;
struct table running;
uint8_t running_slot;

/* The stack and everything else still have to fit beside it. */
typedef char kept_is_small[sizeof(struct kept) + sizeof(struct beat) <= 360 ? 1 : -1];

static uint16_t kept_crc(void) { return crc16((const uint8_t *)&kept, offsetof(struct kept, crc)); }
static uint16_t beat_crc(void) { return crc16((const uint8_t *)&beat, offsetof(struct beat, crc)); }

#if defined(__GNUC__)
__attribute__((noinline))
#endif
uint32_t last_second(void) {
  return beat.second;
}

bool state_valid(void) { return kept.crc == kept_crc() && beat.crc == beat_crc(); }

void state_clear(void) {
  uint8_t *bytes = (uint8_t *)&kept;
  for (uint16_t at = 0; at < sizeof kept; at++) bytes[at] = 0;
  kept.trial_slot = NO_SLOT;
  kept.hand_minutes = MAP_DEFAULT_HAND_MINUTES;
  kept.outage = OUTAGE_REGISTER_UNKNOWN;
  beat.second = 0;
  kept.count_shift = LONG_AGO;
  beat_dirty = kept_dirty = true;
}

void state_seal(void) {
  if (beat_dirty) beat.crc = beat_crc();
  if (kept_dirty) kept.crc = kept_crc();
  beat_dirty = kept_dirty = false;
}
