/*
 * fuzz.h: what the three fuzz targets share (libFuzzer, with the address and
 * undefined-behaviour sanitizers; tests/campaign/fuzz.ts builds and runs them).
 *
 * Always holds: what must hold and does not ends the program, and libFuzzer
 * keeps the input that did it.
 */
#ifndef FUZZ_H
#define FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "world.h"

#define HOLD(it) \
  do {           \
    if (!(it)) abort(); \
  } while (0)

/* An input, taken byte by byte; zeros after its end. */
struct input {
  const uint8_t *bytes;
  size_t left;
};

static inline uint8_t take(struct input *in) {
  if (in->left == 0) return 0;
  in->left--;
  return *in->bytes++;
}

static inline uint32_t take32(struct input *in) {
  uint32_t value = 0;
  for (uint8_t byte = 0; byte < 4; byte++) value = (value << 8) | take(in);
  return value;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

/* Puts `length` bytes of a table, framed anew unless `raw`, into slot 0 as one that was confirmed. */
void fuzz_put_table(const uint8_t *table, uint16_t length, int raw);

#endif
