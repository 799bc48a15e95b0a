#include "tick.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../../hal.h"
#include "timebase.h"
#include "wake.h"

/* Silence is certain a little after the second edge is due (resonator: 0.5 %). */
#define SILENT_FIRST (2u * TIMEBASE_COARSE_HZ + TIMEBASE_COARSE_HZ / 16u)
#define SILENT_AGAIN (TIMEBASE_COARSE_HZ + 1u - TIMEBASE_COARSE_HZ / 200u)
#define DRIFT_FINE (TIMEBASE_FINE_HZ / 50u)
#define DRIFT_SECONDS 5

static volatile uint8_t ticks;
static volatile uint16_t edge_fine;
static volatile uint16_t edge_coarse;
static volatile uint8_t drifting;

static uint16_t began; /* coarse: the second that is shown */
static uint16_t silence_from;
static bool silent;

ISR(INT0_vect) {
  uint16_t now = timebase_fine();
  int16_t off = (int16_t)((uint16_t)(now - edge_fine) - TIMEBASE_FINE_HZ);
  if (off < (int16_t)DRIFT_FINE && off > -(int16_t)DRIFT_FINE) {
    drifting = 0;
  } else if (drifting < DRIFT_SECONDS) {
    drifting++;
  }
  edge_fine = now;
  edge_coarse = timebase_coarse();
  ticks++;
  WAKE |= (1 << WAKE_TICK);
}

void tick_start(void) {
  PIN_TICK_PORT |= (1 << PIN_TICK_BIT); /* the clock's output is open drain */
  EICRA = (1 << ISC01);
  EIFR = (1 << INTF0);
  EIMSK = (1 << INT0);
  began = silence_from = timebase_coarse();
}

void tick_restart(void) {
  uint16_t fine = timebase_fine();
  uint16_t coarse = timebase_coarse();
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    ticks = 0;
    edge_fine = fine;
    edge_coarse = coarse;
  }
  began = silence_from = coarse;
}

enum hal_tick hal_tick_take(void) {
  uint16_t now = timebase_coarse();
  bool edge = false;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    if (ticks > 0) {
      ticks--;
      edge = true;
      began = edge_coarse;
    }
  }
  if (edge) {
    silence_from = began;
    silent = false;
    return HAL_TICK_EDGE;
  }
  if ((uint16_t)(now - silence_from) < (silent ? SILENT_AGAIN : SILENT_FIRST)) return HAL_TICK_NONE;
  silence_from = began = now;
  silent = true;
  now = timebase_fine();
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { edge_fine = now; }
  return HAL_TICK_SILENT;
}

uint16_t tick_began(void) { return began; }
bool tick_drifts(void) { return drifting >= DRIFT_SECONDS; }

uint8_t hal_sub_second(void) {
  uint16_t from;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { from = edge_fine; }
  if ((uint16_t)(timebase_coarse() - began) >= TIMEBASE_COARSE_HZ) return 255;
  uint16_t part = (uint16_t)((uint16_t)(timebase_fine() - from) / (TIMEBASE_FINE_HZ / 256u));
  return (uint8_t)(part > 255 ? 255 : part);
}
