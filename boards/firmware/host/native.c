/*
 * native.c: the core as a native program under sanitizers, with a small world
 * of its own, driven by lines on standard input (tests/firmware/native.test.ts):
 *
 *   start CAUSE      a start; 1 power-on (memory lost), 3 watchdog, 4 external
 *   seconds N        N ticks of the clock's line
 *   silent N         N seconds without the line
 *   clock S          the battery clock's second
 *   stopped 0|1      its stopped flag
 *   parts C L        clock and log memory answer (1) or not (0)
 *   probe V | none   1/16 degree Celsius
 *   supply MV
 *   press short|long
 *   send HEX         bytes from the host, then whatever work they ask for
 *   eeprom AT HEX    puts bytes into the EEPROM
 *
 * After each `send` it prints what the controller answered, in hex; at the end
 * `log` and the 4,096 bytes of log memory.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../core/civil.h"
#include "../core/controller.h"
#include "../core/link.h"
#include "../core/state.h"
#include "../generated/contract.h"
#include "../hal.h"

static struct {
  uint8_t eeprom[STORE_EEPROM_BYTES];
  uint8_t log[LOG_BYTES];
  uint8_t alarm[7];
  uint32_t second;
  bool stopped;
  bool clock_answers;
  bool log_answers;
  bool has_probe;
  int16_t probe;
  uint16_t supply;
  uint8_t cause;
  enum hal_tick tick;
  enum hal_press press;
} world;

uint8_t hal_output_count(void) { return 8; }
uint16_t hal_board_number(void) { return 1; }
char hal_board_id(uint8_t index) {
  static const char id[] = "mega328-relay8";
  return id[index];
}
uint8_t hal_eeprom_read(uint16_t at) { return world.eeprom[at]; }
void hal_eeprom_write(uint16_t at, uint8_t value) { world.eeprom[at] = value; }
bool hal_eeprom_busy(void) { return false; }
void hal_idle(void) {}

bool hal_clock_answers(void) { return world.clock_answers; }
bool hal_clock_read(uint8_t reg, uint8_t *bytes, uint8_t count) {
  uint8_t registers[19] = {0};
  if (!world.clock_answers) return false;
  civil_to_registers(world.second, registers);
  memcpy(registers + 7, world.alarm, sizeof world.alarm);
  registers[15] = world.stopped ? 0x80 : 0;
  memcpy(bytes, registers + reg, count);
  return true;
}
bool hal_clock_write(uint8_t reg, const uint8_t *bytes, uint8_t count) {
  if (!world.clock_answers) return false;
  if (reg == 0) {
    world.second = civil_from_registers(bytes);
    world.tick = HAL_TICK_NONE;
  }
  if (reg == 7) memcpy(world.alarm, bytes, count);
  if (reg == 15) world.stopped = world.stopped && (bytes[0] & 0x80) != 0;
  return true;
}
bool hal_log_read(uint16_t at, uint8_t *bytes, uint8_t count) {
  if (world.log_answers) memcpy(bytes, world.log + at, count);
  return world.log_answers;
}
bool hal_log_write(uint16_t at, const uint8_t *bytes, uint8_t count) {
  if (world.log_answers) memcpy(world.log + at, bytes, count);
  return world.log_answers;
}
void hal_working(void) {}
bool hal_bus_held(void) { return !world.clock_answers && !world.log_answers; }
enum hal_tick hal_tick_take(void) {
  enum hal_tick taken = world.tick;
  world.tick = HAL_TICK_NONE;
  return taken;
}
uint8_t hal_sub_second(void) { return 128; }
enum hal_press hal_press_take(void) {
  enum hal_press taken = world.press;
  world.press = HAL_PRESS_NONE;
  return taken;
}
void hal_output(uint8_t output, uint8_t level) {
  (void)output;
  (void)level;
}
void hal_signals(uint8_t light, uint8_t sound) {
  (void)light;
  (void)sound;
}
void hal_probe_prepare(void) {}
bool hal_probe(int16_t *sixteenths) {
  *sixteenths = world.probe;
  return world.has_probe;
}
uint16_t hal_supply(void) { return world.supply; }
uint16_t hal_supply_needed(void) { return 4500; }
uint16_t hal_self_test(uint8_t *outputs) {
  *outputs = 0;
  return 0;
}
uint8_t hal_boot_cause(void) { return world.cause; }
void hal_send(uint8_t byte) { printf("%02x", byte); }
void hal_send_end(void) {}

static void start(uint8_t cause) {
  world.cause = cause;
  if (cause == LOG_BOOT_CAUSE_POWER_ON) memset(&kept, 0xA5, sizeof kept);
  controller_start();
}

static void seconds(long count, bool line) {
  for (long gone = 0; gone < count; gone++) {
    world.second++;
    if (!line && gone == 0) continue; /* silence is certain after two seconds */
    world.tick = line ? HAL_TICK_EDGE : HAL_TICK_SILENT;
    controller_poll();
  }
}

static uint8_t hex_byte(const char *text) {
  char pair[3] = {text[0], text[1], 0};
  return (uint8_t)strtoul(pair, NULL, 16);
}

static void send(const char *hex) {
  for (bool first = true; hex[0] != 0 && hex[1] != 0; hex += 2, first = false) {
    link_receive(hex_byte(hex), first ? MAP_SILENCE_LONG : MAP_SILENCE_NONE);
    controller_poll();
  }
  while (link_busy()) controller_poll();
  printf("\n");
}

static void put(uint16_t at, const char *hex) {
  for (; hex[0] != 0 && hex[1] != 0 && at < STORE_EEPROM_BYTES; hex += 2) world.eeprom[at++] = hex_byte(hex);
}

static void perform(const char *verb, const char *first, const char *second) {
  long number = strtol(first, NULL, 10);
  if (!strcmp(verb, "start")) start((uint8_t)number);
  if (!strcmp(verb, "seconds")) seconds(number, true);
  if (!strcmp(verb, "silent")) seconds(number, false);
  if (!strcmp(verb, "clock")) world.second = (uint32_t)strtoul(first, NULL, 10);
  if (!strcmp(verb, "stopped")) world.stopped = number != 0;
  if (!strcmp(verb, "parts")) {
    world.clock_answers = number != 0;
    world.log_answers = strtol(second, NULL, 10) != 0;
  }
  if (!strcmp(verb, "probe")) {
    world.has_probe = strcmp(first, "none") != 0;
    world.probe = (int16_t)number;
  }
  if (!strcmp(verb, "supply")) world.supply = (uint16_t)number;
  if (!strcmp(verb, "press")) {
    world.press = strcmp(first, "long") ? HAL_PRESS_SHORT : HAL_PRESS_LONG;
    controller_poll();
  }
  if (!strcmp(verb, "send")) send(first);
  if (!strcmp(verb, "eeprom")) put((uint16_t)number, second);
}

int main(void) {
  static char line[4096], verb[16], first[2048], second[2048];
  memset(world.eeprom, 0xFF, sizeof world.eeprom);
  memset(world.log, 0xFF, sizeof world.log);
  world.clock_answers = world.log_answers = true;
  world.supply = 5000;
  while (fgets(line, sizeof line, stdin)) {
    first[0] = second[0] = 0;
    if (sscanf(line, "%15s %2047s %2047s", verb, first, second) >= 1) perform(verb, first, second);
  }
  printf("log ");
  for (size_t at = 0; at < sizeof world.log; at++) printf("%02x", world.log[at]);
  printf("\n");
  return 0;
}
