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
struct boot boot;
struct table running;
uint8_t running_slot;

/* The stack and everything else still have to fit beside it. */
typedef char kept_is_small[sizeof(struct kept) + sizeof(struct beat) <= 360 ? 1 : -1];

#if defined(__GNUC__)
__attribute__((noinline))
#endif
uint32_t last_second(void) {
  return beat.second;
}

/* Over bytes and the CRC behind them, low byte first, the CRC is 0. */
bool state_valid(void) {
  return crc16((const uint8_t *)&kept, offsetof(struct kept, crc) + 2u) == 0 &&
         beat.complement == ~beat.second;
}

void state_clear(void) {
  uint8_t *bytes = (uint8_t *)&kept;
  for (uint16_t at = 0; at < sizeof kept; at++) bytes[at] = 0;
  kept.trial_slot = NO_SLOT;
  kept.hand_minutes = MAP_DEFAULT_HAND_MINUTES;
  beat.second = 0;
  kept.count_shift = LONG_AGO;
  kept_dirty = true;
}

void state_seal(void) {
  beat.complement = ~beat.second;
  if (kept_dirty) kept.crc = crc16((const uint8_t *)&kept, offsetof(struct kept, crc));
  kept_dirty = false;
}
