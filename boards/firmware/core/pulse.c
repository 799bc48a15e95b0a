#include "pulse.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "clock.h"
#include "faults.h"
#include "state.h"
#include "visits.h"

#define QUARTERS 4u
#define BY_NUMBER_ZONES 4u
#define PLAIN_PERIOD 8u
#define PAUSE 4u
#define FLAG_SOUND 1u
#define FLAG_LIGHT 2u

/* What holds through a minute, unless the visits have news. */
static struct {
  uint8_t how;     /* the table's flags */
  bool room_sound; /* a full hour inside visiting hours */
  bool sound;      /* the visits are to be heard */
  uint8_t zones;   /* that blink by number; 0: the plain pattern */
  uint8_t length;  /* of the visits' pattern in quarters; 0: they do not pulse */
  uint8_t place;   /* in it, at the beginning of the second whose low byte is `at` */
  uint8_t at;
} now;

/* Each zone its blinks and a pause of 4, then 8 more; or, plain, half the period. */
static bool lit(uint8_t place) {
  uint8_t blinks = 2;
  for (uint8_t zones = now.zones; zones != 0; zones = (uint8_t)(zones >> 1)) {
    uint8_t both = (uint8_t)(blinks + PAUSE);
    if (zones & 1u) {
      if (place < blinks) return (place & 1u) == 0;
      if (place < both) return false;
      place = (uint8_t)(place - both);
    }
    blinks = (uint8_t)(blinks + 2u);
  }
  return now.zones == 0 && place < QUARTERS;
}

/* The four quarters from place `place` of the visits' pattern. */
APART static uint8_t quarters(uint8_t place) {
  uint8_t bits = 0;
  for (uint8_t left = QUARTERS; left > 0; left--) {
    bits = (uint8_t)(bits >> 1);
    if (lit(place)) bits |= 1u << (QUARTERS - 1u);
    if (++place == now.length) place = 0;
  }
  return bits;
}

/* Goes on to the last second's place; from its number only where seconds were passed over. */
static void find_place(void) {
  uint8_t at = (uint8_t)last_second();
  uint8_t place = (uint8_t)(now.place + QUARTERS);
  if (now.length < QUARTERS || at != (uint8_t)(now.at + 1u)) {
    place = (uint8_t)((uint8_t)(last_second() % now.length) * QUARTERS % now.length);
  } else if (place >= now.length) {
    place = (uint8_t)(place - now.length);
  }
  now.place = place;
  now.at = at;
}

/* Works it out; `of_hour`: where in the hour of UTC, whose quarters are the wall clock's, the minute began. */
APART static void find(uint16_t of_hour) {
  uint16_t at = running.section[TABLE_SECTION_PULSE - 1];
  uint16_t zones = visits_pulsing();
  now.how = 0;
  now.length = 0;
  now.at = (uint8_t)last_second(); /* the place is to be found anew */
  if (at == 0) return;
  now.how = table_u8(at);
  bool hours = visiting_hours(table_minute_of_day(&running, last_second())) != OUTSIDE_HOURS;
  now.room_sound = hours && of_hour == 0;
  if (!hours || zones == 0) return;
  now.sound = of_hour % 900u == 0 || visits_due_now();
  now.length = PLAIN_PERIOD;
  now.zones = (uint8_t)zones;
  if (table_u8(running.section[TABLE_SECTION_VISITS - 1]) > BY_NUMBER_ZONES) now.zones = 0;
  uint8_t blinks = 2;
  for (uint8_t left = now.zones; left != 0; left = (uint8_t)(left >> 1)) {
    if (left & 1u) now.length = (uint8_t)(now.length + (blinks + PAUSE));
    blinks = (uint8_t)(blinks + 2u);
  }
}

void pulse_second(uint8_t second) {
  uint8_t light = 0;
  uint8_t sound = 0;
  if (!clock_known()) {
    light = 0x3;
  } else if (running_slot == NO_SLOT) {
    light = 0xF;
  } else if (FAULT_IS_PRESENT(LOG_FAULT_ROOM_OUTSIDE) || visits_pulsing() != 0) {
    if (visits_news) find((uint16_t)((uint16_t)(last_second() % 3600u) - second));
    visits_news = false;
    if (now.length != 0) {
      uint8_t place = (uint8_t)(second * QUARTERS);
      find_place();
      light = quarters(now.place);
      /* The last places are dark: none follows the pattern's end. */
      if (now.sound && place + QUARTERS <= now.length) sound = quarters(place);
    } else if (FAULT_IS_PRESENT(LOG_FAULT_ROOM_OUTSIDE)) {
      light = (second & 1u) == 0;
      if (second == 0) sound = now.room_sound;
    }
    if (!(now.how & FLAG_LIGHT)) light = 0;
    if (!(now.how & FLAG_SOUND)) sound = 0;
  }
  hal_signals(light, sound);
}
