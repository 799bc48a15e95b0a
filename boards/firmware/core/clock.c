#include "clock.h"

#include "../hal.h"
#include "civil.h"
#include "crc.h"
#include "log.h"
#include "state.h"

/* Registers of the DS3231 type (its data sheet). */
#define REG_TIME 0x00u
#define REG_ALARM 0x07u
#define REG_CONTROL 0x0Eu
#define REG_STATUS 0x0Fu
#define STOPPED 0x80u
#define ALIVE_BYTES 5u

#define LATEST_AFTER (40u * (uint32_t)CIVIL_DAY_SECONDS)

uint32_t clock_second;
static uint32_t minute_from; /* the whole minute that holds it, as far as known */

static struct {
  bool known;
  bool stopped;
  bool answers;
  uint32_t last_alive;
} clock;

bool clock_known(void) { return clock.known; }
bool clock_estimated(void) { return !clock.known || clock.stopped || !clock.answers; }
bool clock_answering(void) { return clock.answers; }
uint32_t clock_last_alive(void) { return clock.last_alive; }

/* Time and stopped flag; a time that is no date counts as stopped. */
static bool read_registers(uint32_t *second, bool *stopped) {
  uint8_t registers[CIVIL_CLOCK_REGISTERS];
  uint8_t status;
  if (!hal_clock_read(REG_TIME, registers, sizeof registers)) return false;
  if (!hal_clock_read(REG_STATUS, &status, 1)) return false;
  *stopped = (status & STOPPED) != 0;
  if (!civil_from_registers(registers, second)) {
    *second = 0;
    *stopped = true;
  }
  return true;
}

static void read_alive(void) {
  uint8_t bytes[ALIVE_BYTES];
  clock.last_alive = 0;
  if (!hal_clock_read(REG_ALARM, bytes, sizeof bytes) || crc8(bytes, 4) != bytes[4]) return;
  clock.last_alive = bytes[0] | ((uint32_t)bytes[1] << 8) | ((uint32_t)bytes[2] << 16) | ((uint32_t)bytes[3] << 24);
}

static bool write_time(uint32_t second) {
  uint8_t registers[CIVIL_CLOCK_REGISTERS];
  civil_to_registers(second, registers);
  return hal_clock_write(REG_TIME, registers, sizeof registers);
}

static uint32_t last_known(uint32_t kept_second) {
  uint32_t second = kept_second != 0 ? kept_second : clock.last_alive;
  if (second == 0 && !log_last_second(&second)) second = 0;
  return second;
}

/* Takes a reading by the rules of a start. */
static void adopt(uint32_t reading, bool stopped, uint32_t known) {
  clock.stopped = stopped;
  clock.known = !stopped || known != 0;
  clock_second = reading;
  if (!stopped || known == 0) return;
  if (reading < known || reading - known > LATEST_AFTER) {
    clock_second = known;
    write_time(known);
  }
}

void clock_start(uint32_t kept_second) {
  static const uint8_t one_hertz = 0; /* INTCN = 0, RS = 00, oscillator on battery too */
  uint32_t reading;
  bool stopped;
  clock.answers = hal_clock_write(REG_CONTROL, &one_hertz, 1) && read_registers(&reading, &stopped);
  if (clock.answers) {
    read_alive();
    adopt(reading, stopped, last_known(stopped ? 0 : kept_second));
    return;
  }
  clock.last_alive = 0;
  clock.stopped = false;
  clock_second = last_known(kept_second);
  clock.known = clock_second != 0;
}

void clock_tick(void) {
  clock_second++;
  if (clock_second != minute_from + 60u) return;
  minute_from = clock_second;
}

bool clock_whole_minute(void) {
  /* The division is needed only after a step. */
  if (clock_second - minute_from >= 60u) minute_from = clock_second - clock_second % 60u;
  return clock_second == minute_from;
}

bool clock_read(void) {
  uint32_t reading;
  bool stopped;
  bool answered = clock.answers;
  clock.answers = read_registers(&reading, &stopped);
  if (!clock.answers) return false;
  if (!answered || (stopped && !clock.stopped)) {
    read_alive();
    adopt(reading, stopped, last_known(0));
  } else {
    clock_second = reading;
  }
  return true;
}

bool clock_set(uint32_t second) {
  uint8_t status;
  clock.answers = write_time(second) && hal_clock_read(REG_STATUS, &status, 1);
  if (!clock.answers) return false;
  status = (uint8_t)(status & ~STOPPED);
  clock.answers = hal_clock_write(REG_STATUS, &status, 1);
  if (!clock.answers) return false;
  clock.stopped = false;
  clock.known = true;
  clock_second = second;
  return true;
}

void clock_write_alive(uint32_t second) {
  uint8_t bytes[ALIVE_BYTES];
  for (uint8_t at = 0; at < 4; at++) bytes[at] = (uint8_t)(second >> (8u * at));
  bytes[4] = crc8(bytes, 4);
  (void)hal_clock_write(REG_ALARM, bytes, sizeof bytes);
}
