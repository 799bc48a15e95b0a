#include "pulse.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "clock.h"
#include "faults.h"
#include "state.h"
#include "visit_scan.h"
#include "visits.h"

#define QUARTERS 4u
#define BY_NUMBER_ZONES 4u
#define PLAIN_PERIOD 8u
#define FLAG_SOUND 1u
#define FLAG_LIGHT 2u

/* Quarters of the pattern: each zone its blinks and a pause of 4, then 8 more. */
static uint8_t pattern_length(uint16_t zones) {
  uint8_t length = 8;
  for (uint8_t zone = 0; zone < BY_NUMBER_ZONES; zone++) {
    if (zones & (1u << zone)) length = (uint8_t)(length + 2u * (zone + 1u) + 4u);
  }
  return length;
}

static bool pattern_lit(uint16_t zones, uint8_t place) {
  for (uint8_t zone = 0; zone < BY_NUMBER_ZONES; zone++) {
    uint8_t blinks = (uint8_t)(2u * (zone + 1u));
    if (!(zones & (1u << zone))) continue;
    if (place < blinks) return (place & 1u) == 0;
    if (place < blinks + 4u) return false;
    place = (uint8_t)(place - (blinks + 4u));
  }
  return false;
}

/* The four quarters from place `from` of the visits' pattern; `once`: not repeated. */
static uint8_t visit_quarters(uint16_t zones, uint32_t from, bool once) {
  bool numbered = visit_zones() <= BY_NUMBER_ZONES;
  uint8_t length = numbered ? pattern_length(zones) : PLAIN_PERIOD;
  uint8_t bits = 0;
  uint8_t place = (uint8_t)(once ? from : from % length);
  for (uint8_t quarter = 0; quarter < QUARTERS; quarter++) {
    bool lit = place < length && (numbered ? pattern_lit(zones, place) : place < QUARTERS);
    if (lit) bits = (uint8_t)(bits | (1u << quarter));
    place++;
    if (!once && place >= length) place = 0;
  }
  return bits;
}

static uint8_t resting_light(void) {
  if (!clock_known()) return 0x3;
  return running_slot == NO_SLOT ? 0xF : 0;
}

static uint8_t flags(void) {
  uint16_t at = running.section[TABLE_SECTION_PULSE - 1];
  return running_slot == NO_SLOT || at == 0 ? 0 : table_u8(at);
}

static void pulse_visits(uint16_t zones, uint8_t how, uint16_t minute, uint8_t second) {
  uint8_t light = (how & FLAG_LIGHT) ? visit_quarters(zones, beat.second * QUARTERS, false) : 0;
  bool sounds = (how & FLAG_SOUND) && (minute % 15u == 0 || visits_due_now());
  hal_signals(light, sounds ? visit_quarters(zones, second * QUARTERS, true) : 0);
}

static void pulse_room(uint8_t how, uint16_t minute, uint8_t second) {
  bool hour = second == 0 && beat.second / 60u % 60u == 0 && visiting_hours(minute);
  uint8_t light = (how & FLAG_LIGHT) && (beat.second & 1u) == 0 ? 1 : 0;
  hal_signals(light, (how & FLAG_SOUND) && hour ? 1 : 0);
}

void pulse_second(void) {
  uint8_t how = flags();
  bool room = FAULT_IS_PRESENT(LOG_FAULT_ROOM_OUTSIDE);
  uint16_t zones = visits_pulsing();
  if (!clock_known() || how == 0 || (zones == 0 && !room)) {
    hal_signals(resting_light(), 0);
    return;
  }
  uint16_t minute = table_minute_of_day(&running, beat.second);
  uint8_t second = (uint8_t)(beat.second % 60u);
  if (zones != 0 && visiting_hours(minute)) {
    pulse_visits(zones, how, minute, second);
  } else if (room) {
    pulse_room(how, minute, second);
  } else {
    hal_signals(resting_light(), 0);
  }
}
