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

/* What does not change from second to second; worked out afresh when one of the first four does. */
static struct {
  uint32_t next; /* the second it is worked out for, but for `place` and `second` */
  uint16_t zones;
  uint8_t slot;
  bool room;
  uint8_t second; /* of the minute */
  enum { RESTING, VISITS, ROOM } mode;
  uint8_t how; /* the table's flags */
  bool sounds;
  bool numbered;
  uint8_t length; /* quarters of the pattern */
  uint8_t place;  /* in it, at the second's beginning */
} now;

/* Quarters of the pattern: each zone its blinks and a pause of 4, then 8 more. */
static uint8_t pattern_length(uint16_t zones) {
  uint8_t length = 8;
  for (uint8_t zone = 0; zone < BY_NUMBER_ZONES; zone++) {
    if (zones & (1u << zone)) length = (uint8_t)(length + 2u * (zone + 1u) + 4u);
  }
  return length;
}

static bool pattern_lit(uint8_t place) {
  if (!now.numbered) return place < QUARTERS;
  for (uint8_t zone = 0; zone < BY_NUMBER_ZONES; zone++) {
    uint8_t blinks = (uint8_t)(2u * (zone + 1u));
    if (!(now.zones & (1u << zone))) continue;
    if (place < blinks) return (place & 1u) == 0;
    if (place < blinks + 4u) return false;
    place = (uint8_t)(place - (blinks + 4u));
  }
  return false;
}

/* The four quarters from place `place` of the visits' pattern; `once`: not repeated. */
static uint8_t visit_quarters(uint8_t place, bool once) {
  uint8_t bits = 0;
  for (uint8_t quarter = 0; quarter < QUARTERS; quarter++) {
    if (place < now.length && pattern_lit(place)) bits = (uint8_t)(bits | (1u << quarter));
    place++;
    if (!once && place >= now.length) place = 0;
  }
  return bits;
}

static uint8_t resting_light(void) {
  if (!clock_known()) return 0x3;
  return running_slot == NO_SLOT ? 0xF : 0;
}

/* Works out everything for the last processed second. */
static void find_mode(uint16_t zones, bool room) {
  uint16_t at = running.section[TABLE_SECTION_PULSE - 1];
  now.how = running_slot == NO_SLOT || at == 0 ? 0 : table_u8(at);
  now.zones = zones;
  now.slot = running_slot;
  now.room = room;
  now.mode = RESTING;
  now.second = (uint8_t)(last_second() % 60u);
  if (!clock_known() || now.how == 0 || (zones == 0 && !room)) return;
  uint16_t minute = table_minute_of_day(&running, last_second());
  bool hours = visiting_hours(minute);
  if (room) now.mode = ROOM;
  now.sounds = hours && last_second() / 60u % 60u == 0;
  if (zones == 0 || !hours) return;
  now.mode = VISITS;
  now.sounds = minute % 15u == 0 || visits_due_now();
  now.numbered = visit_zones() <= BY_NUMBER_ZONES;
  now.length = now.numbered ? pattern_length(zones) : PLAIN_PERIOD;
  now.place = (uint8_t)(last_second() * QUARTERS % now.length);
}

static void next_second(void) {
  now.second++;
  now.place = (uint8_t)(now.place + QUARTERS);
  if (now.place >= now.length) now.place = (uint8_t)(now.place - now.length);
}

void pulse_second(void) {
  bool room = FAULT_IS_PRESENT(LOG_FAULT_ROOM_OUTSIDE);
  uint16_t zones = visits_pulsing();
  bool same = now.next == last_second() && now.second < 59 && now.zones == zones && now.room == room &&
              now.slot == running_slot && clock_known();
  if (same) {
    next_second();
  } else {
    find_mode(zones, room);
  }
  now.next = last_second() + 1u;
  bool light = (now.how & FLAG_LIGHT) != 0;
  bool sound = (now.how & FLAG_SOUND) != 0 && now.sounds;
  if (now.mode == VISITS) {
    hal_signals(light ? visit_quarters(now.place, false) : 0,
                sound ? visit_quarters((uint8_t)(now.second * QUARTERS), true) : 0);
  } else if (now.mode == ROOM) {
    hal_signals(light && (last_second() & 1u) == 0 ? 1 : 0, sound && now.second == 0 ? 1 : 0);
  } else {
    hal_signals(resting_light(), 0);
  }
}
