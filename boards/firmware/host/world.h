/*
 * world.h: a small world of memory around the core, for native programs: what
 * hal.h asks of hardware, where every write is at once whole.
 */
#ifndef WORLD_H
#define WORLD_H

#include <stdbool.h>
#include <stdint.h>

#include "../generated/contract.h"
#include "../hal.h"

struct world {
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
};
extern struct world world;

/* What the controller sends, byte by byte; each program says what becomes of it. */
void world_said(uint8_t byte);

/* Erased memories, every part answers, a supply that is good. */
void world_new(void);
/* A start for a cause; at power-on memory is lost. */
void world_start(uint8_t cause);
/* So many seconds, with ticks of the clock's line or without. */
void world_seconds(long count, bool line);

#endif
