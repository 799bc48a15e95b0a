#include "room.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "faults.h"
#include "state.h"

#define FAILURES LAW_PROBE_FAILURES
#define OUTSIDE_MINUTES LAW_OUTSIDE_MINUTES
#define MOST 127
/* Readings are summed up with this added: then nothing has a sign. */
#define BIAS 0x8000u

static struct {
  int16_t last;
  bool read;
  bool outside;
} room;

bool room_last(int16_t *sixteenths) {
  *sixteenths = room.last;
  return room.read;
}

bool room_outside(void) { return room.outside; }

/* Half degrees, rounded to nearest and kept within what a record can say. */
static APART int8_t half_degrees(int16_t sixteenths) {
  int16_t halves = (int16_t)(((sixteenths >> 2) + 1) >> 1);
  return (int8_t)(halves < -MOST ? -MOST : halves > MOST ? MOST : halves);
}

static BY_ADDRESS void count_day(struct kept_day *day, int16_t reading) {
  int8_t halves = half_degrees(reading);
  if (day->readings == 0 || halves < day->proof.least) day->proof.least = halves;
  if (halves > day->proof.greatest) day->proof.greatest = halves;
  day->sum += (uint16_t)((uint16_t)reading ^ BIAS);
  day->readings++;
  if (room.outside && ++day->proof.outside[0] == 0) day->proof.outside[1]++;
}

/* Minutes outside in a row, and the fault they may be. */
static void judge(bool outside, int16_t reading) {
  if (!outside) kept.room_run = 0;
  if (outside && kept.room_run < OUTSIDE_MINUTES) kept.room_run++;
  if (!outside || kept.room_run == OUTSIDE_MINUTES) fault_set(LOG_FAULT_ROOM_OUTSIDE, outside, reading);
}

/* Reads the probe. What it says after power-on counts only if the minute before was near it. */
static void read_probe(void) {
  int16_t reading;
  bool hot = room.read && room.last >= (int16_t)LAW_HOT_SIXTEENTHS;
  room.read = hal_probe(&reading) && (hot || reading != (int16_t)LAW_PROBE_POWER_ON_SIXTEENTHS);
  room.last = reading;
}

void room_minute(void) {
  uint16_t band = running_slot == NO_SLOT ? 0 : running.section[TABLE_SECTION_ROOM - 1];
  kept_dirty = true;
  read_probe();
  if (room.read) kept.room_silence = 0;
  if (!room.read && kept.room_silence < FAILURES) kept.room_silence++;
  fault_set(LOG_FAULT_PROBE_MISSING, kept.room_silence == FAILURES, 0);
  if (!room.read) {
    if (band == 0) judge(false, 0);
    return;
  }
  int16_t reading = room.last;
  room.outside = band != 0 && (reading < (int16_t)table_u16(band) || reading > (int16_t)table_u16((uint16_t)(band + 2u)));
  if (kept.day.open) count_day(&kept.day, reading);
  judge(room.outside, reading);
}

int8_t room_mean(const struct kept_day *day) {
  if (day->readings == 0) return ROOM_NONE;
  /* What is left over of a sixteenth cannot change which half degree is nearest. */
  return half_degrees((int16_t)((day->sum / day->readings) ^ BIAS));
}
