/*
 * world.c: see world.h.
 */
#include "world.h"

#include <string.h>

#include "../core/civil.h"
#include "../core/controller.h"
#include "../core/state.h"

struct world world;


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
void hal_send(uint8_t byte) { world_said(byte); }
void hal_send_end(void) {}

void world_new(void) {
  memset(&world, 0, sizeof world);
  memset(world.eeprom, 0xFF, sizeof world.eeprom);
  memset(world.log, 0xFF, sizeof world.log);
  world.clock_answers = world.log_answers = true;
  world.supply = 5000;
}

void world_start(uint8_t cause) {
  world.cause = cause;
  if (cause == LOG_BOOT_CAUSE_POWER_ON) memset(&kept, 0xA5, sizeof kept);
  controller_start();
}

void world_seconds(long count, bool line) {
  for (long gone = 0; gone < count; gone++) {
    world.second++;
    if (!line && gone == 0) continue; /* silence is certain after two seconds */
    world.tick = line ? HAL_TICK_EDGE : HAL_TICK_SILENT;
    controller_poll();
  }
}
