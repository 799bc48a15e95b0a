#include "outputs.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "clock.h"
#include "faults.h"
#include "overlays.h"
#include "state.h"

#define FULL 0xFFu
#define START_WAIT LAW_START_WAIT_SECONDS

/* What the table asks for, lag included. */
static struct {
  uint8_t level[OUTPUTS];
  uint8_t still[OUTPUTS]; /* minutes in which that surely stays so */
} asked;

static uint16_t wake_at; /* low half of the second at which output 0 ceases to wait */
static uint8_t awake;    /* outputs before this one wait no longer */
static uint16_t turn_at; /* low half of the second at which output 0 may switch again */
static uint8_t turned;   /* outputs before this one may switch */
static uint8_t restless; /* not 0: something can change before the table or an event asks for it, or the minute ends */

void outputs_start(uint32_t second) {
  wake_at = (uint16_t)(second + START_WAIT);
  awake = 0;
  turned = OUTPUTS;
  kept.shown = 0;
}

void outputs_in_turn(uint32_t second) {
  turn_at = (uint16_t)second;
  turned = 0;
}

void outputs_shift(uint32_t step) {
  uint16_t after = (uint16_t)(beat.second + step + START_WAIT);
  if (awake == 0 && wake_at == after) return; /* the step of a start: the wait counts from where it leads already */
  wake_at = (uint16_t)(wake_at + step);
}

/* How many outputs have their time, the first one at `first`, each further a second later; `count` had it.
 * 16 bits are enough: all have it seconds after the first. */
static uint8_t in_time(uint16_t first, uint8_t count) {
  uint16_t second = (uint16_t)beat.second;
  while (count < OUTPUTS && (int16_t)(second - first - count) >= 0) count++;
  return count;
}

bool outputs_settled(void) { return restless == 0; }
bool outputs_waiting(void) { return awake < hal_output_count(); }

uint8_t outputs_level(uint8_t output) { return output < awake ? kept.out[output].level : 0; }

static void ask_table(uint8_t output) {
  uint8_t level = 0;
  uint8_t still = 0;
  if (clock_known()) {
    level = table_level(&running, output, last_second() - output);
    still = table_lasting();
  }
  asked.level[output] = level;
  asked.still[output] = still;
  restless = 1;
}

void outputs_refresh(void) {
  for (uint8_t output = 0; output < hal_output_count(); output++) ask_table(output);
}

/* A limit of the running table: its word at `at`; 0 without one. */
APART static uint16_t limit(uint8_t at) {
  uint16_t body = running.section[TABLE_SECTION_LIMITS - 1];
  return body == 0 ? 0 : table_u16((uint16_t)(body + at));
}

/* Seconds processed since `own` was last switched. */
APART static uint32_t since(const struct kept_output *own) { return seconds_processed() - own->changed; }

/* `own`, which is on, has been so for the longest time allowed. */
static bool at_limit(const struct kept_output *own) {
  uint32_t longest = limit(2) * (uint32_t)60u;
  int32_t over = (int32_t)(since(own) - longest);
  if (longest == 0 || over < -60) return false;
  restless = 1; /* the limit comes before the next minute */
  return over >= 0;
}

/* Switches one output to `target`, unless it is not its `turn` or dwell keeps it; one that is `held` has no dwell. */
static void switch_output(struct kept_output *own, uint8_t target, uint8_t held, bool turn) {
  if (target == own->level) return;
  if (!turn || (held == 0 && since(own) < limit(0))) {
    restless = 1;
    return;
  }
  if (target == 0 || own->level == 0) own->changed += since(own);
  own->level = target;
}

/* One pass over all outputs; true if a target is another than the one traced. */
static bool pass(bool event) {
  struct kept_output *own = kept.out;
  uint8_t bit = 1;
  uint8_t lit = kept.work_lit;
  uint8_t held = kept.held;
  uint8_t shown = 0;
  bool news = false;
  restless = (uint8_t)(lit | event); /* an event's trace is yet to come */
  if (lit != 0 && running_slot != NO_SLOT) lit &= table_outputs(&running);
  outputs_count(event);
  awake = in_time(wake_at, awake);
  turned = in_time(turn_at, turned);
  for (uint8_t output = 0; output < hal_output_count(); output++, own++, bit = (uint8_t)(bit << 1)) {
    uint8_t target = asked.level[output];
    if (lit & bit) target = FULL;
    if (own->hand_left != 0) {
      restless = 1;
      if (own->hand_wait == 0) target = own->hand_level;
    }
    if (!event && own->traced != target) {
      own->traced = target;
      news = true;
    }
    if (target == 0) {
      held = (uint8_t)(held & ~bit); /* with nothing asked it is let go */
    } else if (own->level != 0 && at_limit(own)) {
      held |= bit;
    }
    if (held & bit) target = 0;
    switch_output(own, target, held & bit, output < turned);
    target = own->level;
    if (output >= awake) {
      target = 0;
      restless = 1;
    }
    if (target != 0) shown |= bit;
    hal_output(output, target);
  }
  kept.held = held;
  kept.shown = shown;
  fault_set(LOG_FAULT_LONGEST_ON, held != 0, held);
  return news;
}

bool outputs_process(uint8_t in_minute) {
  /* A whole minute of each output's own, lagging time. */
  if (in_minute < hal_output_count() && clock_known() && asked.still[in_minute]-- == 0) ask_table(in_minute);
  return (restless != 0 || in_minute == 0) && pass(false);
}

void outputs_react(void) { pass(true); }

void outputs_count(bool with_last) {
  uint16_t second = (uint16_t)(beat.second + with_last);
  uint16_t gone = (uint16_t)(second - kept.on_counted);
  uint8_t bits = kept.shown;
  uint8_t *on = kept.day.light.on;
  for (struct kept_output *own = kept.out; bits != 0; own++, on++, bits >>= 1) {
    if (bits & 1u) own->on_rest = (uint16_t)(own->on_rest + gone);
    for (; own->on_rest >= ON_UNIT; own->on_rest = (uint16_t)(own->on_rest - ON_UNIT)) {
      if (*on < 255) (*on)++;
    }
  }
  kept.on_counted = second;
  kept_dirty = true;
}
