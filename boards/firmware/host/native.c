/*
 * native.c: the core as a native program under sanitizers in a small world
 * (world.c), driven by lines on standard input (tests/boards/firmware/native.long.test.ts):
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

#include "../core/controller.h"
#include "../core/link.h"
#include "../generated/contract.h"
#include "world.h"

void world_said(uint8_t byte) { printf("%02x", byte); }

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
  if (!strcmp(verb, "start")) world_start((uint8_t)number);
  if (!strcmp(verb, "seconds")) world_seconds(number, true);
  if (!strcmp(verb, "silent")) world_seconds(number, false);
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
  world_new();
  while (fgets(line, sizeof line, stdin)) {
    first[0] = second[0] = 0;
    if (sscanf(line, "%15s %2047s %2047s", verb, first, second) >= 1) perform(verb, first, second);
  }
  printf("log ");
  for (size_t at = 0; at < sizeof world.log; at++) printf("%02x", world.log[at]);
  printf("\n");
  return 0;
}
