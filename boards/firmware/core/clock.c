#include "clock.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "civil.h"
#include "crc.h"
#include "state.h"

/* Registers of the DS3231 type (its data sheet). */
#define REG_TIME 0x00u
#define REG_ALARM 0x07u
#define REG_CONTROL 0x0Eu
#define REG_STATUS 0x0Fu
#define REGISTERS 0x10u
#define STOPPED 0x80u
/* A second and its CRC-8, over all of which the CRC-8 is 0. */
#define ALIVE_BYTES 5u

static const uint8_t zero = 0;

uint32_t clock_second;

static struct {
  enum { UNKNOWN, DOUBTFUL, TRUSTED } time; /* DOUBTFUL: the clock had stopped */
  bool answers;
  uint32_t last_alive;
} clock;

bool clock_known(void) { return clock.time != UNKNOWN; }
bool clock_estimated(void) { return clock.time != TRUSTED || !clock.answers; }
bool clock_answering(void) { return clock.answers; }
uint32_t clock_last_alive(void) { return clock.last_alive; }

static bool write_time(uint32_t second) {
  uint8_t registers[CIVIL_CLOCK_REGISTERS];
  civil_to_registers(second, registers);
  return hal_clock_write(REG_TIME, registers, sizeof registers);
}

static uint32_t last_known(uint32_t kept_second, clock_logged *logged) {
  if (kept_second != 0) return kept_second;
  return clock.last_alive != 0 ? clock.last_alive : logged();
}

/* The clock had stopped: whether its reading goes on or what is known. */
static void doubt(clock_logged *logged) {
  uint32_t known = last_known(0, logged);
  clock.time = UNKNOWN;
  if (known == 0) return;
  clock.time = DOUBTFUL;
  /* An earlier reading wraps round: it too is far from what is known. */
  if (clock_second - known <= LAW_BELIEVED_SECONDS) return;
  clock_second = known;
  write_time(known);
}

/* Reads all registers; `start`: by the rules of a start. A time that is no date counts as stopped. */
static void read_registers(bool start, clock_logged *logged) {
  uint8_t registers[REGISTERS];
  const uint8_t *alive = registers + REG_ALARM;
  clock.answers = hal_clock_read(REG_TIME, registers, sizeof registers);
  if (!clock.answers) return;
  uint8_t stopped = registers[REG_STATUS] & STOPPED;
  clock_second = civil_from_registers(registers);
  if (clock_second == CIVIL_NONE) {
    clock_second = 0;
  }
  if (clock_second < LAW_COUNTED_SECONDS) stopped = STOPPED; /* no clock that was ever set is there */
  if (stopped != 0 && clock.time == TRUSTED) start = true;
  if (!start) return;
  clock.last_alive = 0;
  if (crc8(alive, ALIVE_BYTES) == 0) {
    clock.last_alive = alive[0] | ((uint32_t)alive[1] << 8) | ((uint32_t)alive[2] << 16) | ((uint32_t)alive[3] << 24);
    if (clock.last_alive >= LAW_CLOCK_END_SECONDS) clock.last_alive = 0;
  }
  clock.time = TRUSTED;
  if (stopped != 0) doubt(logged);
}

void clock_start(uint32_t kept_second, clock_logged *logged) {
  clock.last_alive = 0;
  clock.answers = hal_clock_write(REG_CONTROL, &zero, 1); /* INTCN = 0, RS = 00: 1 Hz; oscillator on battery too */
  if (clock.answers) read_registers(true, logged);
  if (clock.answers) return;
  clock_second = last_known(kept_second, logged);
  clock.time = clock_second != 0 ? TRUSTED : UNKNOWN; /* estimated: it does not answer */
}

void clock_read(clock_logged *logged) { read_registers(!clock.answers, logged); }

bool clock_set(uint32_t second) {
  clock.answers = write_time(second) && hal_clock_write(REG_STATUS, &zero, 1);
  if (!clock.answers) return false;
  clock.time = TRUSTED;
  clock_second = second;
  return true;
}

void clock_write_alive(uint32_t second) {
  uint8_t bytes[ALIVE_BYTES];
  for (uint8_t at = 0; at < ALIVE_BYTES - 1u; at++) {
    bytes[at] = (uint8_t)second;
    second >>= 8;
  }
  bytes[ALIVE_BYTES - 1u] = crc8(bytes, ALIVE_BYTES - 1u);
  (void)hal_clock_write(REG_ALARM, bytes, sizeof bytes);
}
