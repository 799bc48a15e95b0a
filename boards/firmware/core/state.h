/*
 * state.h: what the controller knows. `kept` and `beat` lie in memory that a
 * reset does not clear; everything else is found again at each start.
 *
 * Always holds: both are trusted only after a reset that kept power, and only
 * while `kept` has its right CRC-16 and `beat` its second's complement.
 */
#ifndef STATE_H
#define STATE_H

#include <stdbool.h>
#include <stdint.h>

#include "table.h"

/* A function that takes an address as it comes: else the compiler puts the one it
 * is called with back into every access, at twice the bytes. */
#ifdef __AVR__
#define BY_ADDRESS __attribute__((noinline, noclone))
#else
#define BY_ADDRESS
#endif

#define OUTPUTS 8
#define FAULTS 16
#define ON_UNIT 360u /* seconds: time on is logged in these */
#define NO_SLOT 0xFFu
#define OUTAGE_REGISTER_UNKNOWN 0xFFFFu

/* Written each second. */
struct beat {
  uint32_t second; /* last processed */
  uint32_t complement;
};

/* One output's part of it. */
struct kept_output {
  uint32_t changed; /* seconds processed at the last switching */
  uint16_t on_rest; /* seconds of the unit of time on that has begun */
  uint16_t hand_left; /* seconds of hand switching still to come; 0: none */
  uint8_t hand_wait;  /* of these, seconds before it shows */
  uint8_t hand_level;
  uint8_t level; /* beneath the wait after a start */
  uint8_t traced; /* what table and overlays asked for at the last second processed */
};

/* The civil day that runs. `light` and `proof` are the bodies of the records that
 * end it, as they lie in the log. */
struct kept_day {
  struct {
    uint16_t number;
    uint8_t on[OUTPUTS]; /* units of time on */
  } light;
  struct {
    uint16_t number;
    uint16_t trace; /* CRC-16 so far */
    int8_t least;   /* half degrees */
    int8_t mean;
    int8_t greatest;
    uint8_t outside[2];
    uint8_t resets;
  } proof;
  bool open;
  bool partial;
  bool trace_begun;
  uint16_t readings;
  uint32_t sum; /* of the readings, each with 0x8000 added */
};

/* Written when something changes. */
struct kept {
  struct kept_output out[OUTPUTS];
  uint8_t hand_released; /* outputs whose end is logged already, where any is to come */
  uint16_t hand_minutes;
  uint16_t work_left; /* seconds of work light still to come; 0: none */
  uint8_t work_lit;   /* bit n: work light n seconds ago, so output n is lit now */

  uint32_t count_shift;      /* seconds processed since power-on, less beat.second */
  uint8_t held;              /* outputs that reached the longest-on limit */
  uint8_t shown;             /* outputs whose pin is on */

  uint8_t trial_slot; /* NO_SLOT: no trial */
  uint8_t trial_left; /* seconds to be processed until it ends */
  uint16_t upload_session; /* the last one given */

  uint16_t fault_present;
  uint16_t fault_unlogged; /* present, entered within the quiet hour */
  uint32_t fault_changed[FAULTS]; /* second of the last entering or leaving worth a record; 0: never */

  struct kept_day day;
  uint16_t on_counted;  /* low half of the second up to before which on-times are counted */
  uint8_t room_run;     /* minutes outside in a row */
  uint8_t room_silence; /* failures in a row */

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

/* The table that runs and its slot. */
extern struct table running;
extern uint8_t running_slot;

/* This start: a value that differs from start to start, and why there was one. */
struct boot {
  uint16_t session;
  uint8_t cause; /* LOG_BOOT_CAUSE_ */
};
extern struct boot boot;

/* True when the retained block may be trusted. */
bool state_valid(void);
/* Starts the block afresh. */
void state_clear(void);
/* Makes the block valid again after changes. */
void state_seal(void);

#endif
