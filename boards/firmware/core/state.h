/*
 * state.h: what the controller knows. `kept` and `beat` lie in memory that a
 * reset does not clear; everything else is found again at each start.
 *
 * Always holds: `kept` and `beat` are trusted only while their CRC-16 is right
 * and only after a reset that kept power.
 */
#ifndef STATE_H
#define STATE_H

#include <stdbool.h>
#include <stdint.h>

#include "table.h"

#define OUTPUTS 8
#define FAULTS 16
#define NO_SLOT 0xFFu
#define OUTAGE_REGISTER_UNKNOWN 0xFFFFu

/* Written each second. */
struct beat {
  uint32_t second; /* last processed */
  uint16_t crc;
};

/* One output's part of it. */
struct kept_output {
  uint32_t hand_begin;
  uint32_t hand_end; /* 0: no hand overlay */
  uint32_t changed;  /* seconds processed at the last switching */
  uint32_t on_seconds;
  uint8_t hand_level;
  uint8_t level; /* beneath the wait after a start */
  uint8_t traced;
};

/* Written when something changes. */
struct kept {
  struct kept_output out[OUTPUTS];
  uint8_t hands;         /* outputs that have a hand overlay */
  uint8_t hand_released; /* outputs whose end is logged already */
  uint16_t hand_minutes;
  uint32_t work_begin; /* output n is covered from begin + n to end + n, n from 0 */
  uint32_t work_end;   /* equal: no work light */
  bool work_open;      /* its end is not logged yet */

  uint32_t count_shift;      /* seconds processed since power-on, less beat.second */
  uint8_t held;              /* outputs that reached the longest-on limit */
  uint8_t shown;             /* outputs whose pin is on */

  uint8_t trial_slot; /* NO_SLOT: no trial */
  uint32_t trial_end;
  uint16_t upload_session; /* the last one given */

  uint16_t fault_present;
  uint16_t fault_unlogged; /* present, entered within the quiet hour */
  uint32_t fault_left[FAULTS]; /* second of the last logged leaving; 0: never */

  bool day_open;
  bool day_partial;
  bool trace_begun;
  uint16_t day;
  uint16_t trace; /* CRC-16 so far */
  uint32_t on_counted; /* on-times are counted up to before this second */
  int16_t room_min;
  int16_t room_max;
  int32_t room_sum;
  uint16_t room_count;
  uint16_t room_outside;
  uint8_t room_run;     /* minutes outside in a row */
  uint8_t room_silence; /* failures in a row */
  uint8_t day_resets;

  uint32_t visits_checked;
  uint16_t resets;
  uint16_t outage; /* minutes, at the last restart that lost power */
  uint16_t crc;
};

extern struct kept kept;
extern struct beat beat;

/* The second last processed; a call, since it is read in many places and four bytes wide. */
uint32_t last_second(void);
/* Seconds processed since power-on. */
static inline uint32_t seconds_processed(void) { return beat.second + kept.count_shift; }

/* Set when `kept` changed; sealed before the controller rests. */
extern bool kept_dirty;
/* Set when `beat` changed. */
extern bool beat_dirty;

/* The table that runs and its slot. */
extern struct table running;
extern uint8_t running_slot;

/* True when the retained block may be trusted. */
bool state_valid(void);
/* Starts the block afresh. */
void state_clear(void);
/* Makes the block valid again after changes. */
void state_seal(void);

#endif
