/*
 * walk.c: a schedule table evaluated at every second, natively: prints the
 * levels of outputs 1 to 8 (lag included) at FROM and at each second at which
 * one changes.
 *
 *   walk HEX FROM UNTIL
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../core/state.h"
#include "../core/table.h"
#include "world.h"

void world_said(uint8_t byte) { (void)byte; }

static uint16_t put(const char *hex) {
  uint16_t length = 0;
  for (; hex[0] != 0 && hex[1] != 0 && length < TABLE_MAX_BYTES; hex += 2) {
    char pair[3] = {hex[0], hex[1], 0};
    world.eeprom[length++] = (uint8_t)strtoul(pair, NULL, 16);
  }
  return length;
}

int main(int count, char **words) {
  struct table table;
  uint8_t shown[OUTPUTS] = {0};
  if (count != 4) return 2;
  world_new();
  if (!table_open(&table, 0, put(words[1]))) return 1;
  uint32_t from = (uint32_t)strtoul(words[2], NULL, 10);
  uint32_t until = (uint32_t)strtoul(words[3], NULL, 10);
  for (uint32_t second = from; second < until; second++) {
    uint8_t levels[OUTPUTS];
    for (uint8_t output = 0; output < OUTPUTS; output++) levels[output] = table_level(&table, output, second - output);
    if (second != from && memcmp(levels, shown, sizeof levels) == 0) continue;
    memcpy(shown, levels, sizeof shown);
    printf("%lu ", (unsigned long)second);
    for (uint8_t output = 0; output < OUTPUTS; output++) printf("%02x", levels[output]);
    printf("\n");
  }
  return 0;
}
