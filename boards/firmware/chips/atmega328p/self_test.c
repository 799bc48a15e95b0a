#include "self_test.h"

#include <avr/io.h>
#include <avr/pgmspace.h>
#include <util/crc16.h>

#include "../../generated/contract.h"
#include "../../hal.h"
#include "pins.h"
#include "tick.h"

/* Bytes of flash each eighth second: a pass takes about four hours. */
#define SLICE 16u
#define GUARD_BYTES 8
#define GUARD 0xC5u

extern uint8_t _end;            /* first byte after everything static */
extern uint8_t __data_load_end; /* flash: one past the image; its CRC-16 follows */

/* March through all memory, a byte at a time and back again, so that what it holds
 * stays. After the pins (.init3), since it takes 5 ms. Result in GPIOR1. Uses no
 * stack and no memory but the byte under test. */
__attribute__((naked, used, section(".init5"))) void memory_march(void) {
  __asm__ __volatile__(
      "ldi r30, lo8(%[from])\n\t"
      "ldi r31, hi8(%[from])\n\t"
      "clr r18\n\t"
      "1: ld r19, Z\n\t"
      "ldi r20, 0x55\n\t"
      "2: st Z, r20\n\t"
      "ld r21, Z\n\t"
      "cpse r21, r20\n\t"
      "ldi r18, 1\n\t"
      "com r20\n\t"
      "sbrc r20, 7\n\t"
      "rjmp 2b\n\t"
      "st Z+, r19\n\t"
      "ldi r20, hi8(%[end])\n\t"
      "cpi r30, lo8(%[end])\n\t"
      "cpc r31, r20\n\t"
      "brne 1b\n\t"
      "out %[result], r18\n\t" ::[from] "i"(RAMSTART),
      [end] "i"(RAMEND + 1), [result] "I"(_SFR_IO_ADDR(GPIOR1)));
}

void self_test_start(void) {
  for (uint8_t at = 0; at < GUARD_BYTES; at++) (&_end)[at] = GUARD;
}

static bool guard_whole(void) {
  for (uint8_t at = 0; at < GUARD_BYTES; at++) {
    if ((&_end)[at] != GUARD) return false;
  }
  return true;
}

/* Goes on with the flash's CRC-16; false once a pass ended wrong. */
static bool flash_whole(void) {
  static uint16_t at;
  static uint16_t crc = 0xFFFFu;
  static bool whole = true;
  uint16_t end = (uint16_t)&__data_load_end;
  for (uint8_t left = SLICE; left > 0 && at < end; left--) crc = _crc16_update(crc, pgm_read_byte(at++));
  if (at < end) return whole;
  whole = crc == pgm_read_word(end);
  crc = 0xFFFFu;
  at = 0;
  return whole;
}

static uint16_t bit_of(uint8_t fault, bool present) {
  return present ? (uint16_t)(1u << (fault - 1u)) : 0;
}

uint16_t hal_self_test(uint8_t *outputs) {
  *outputs = pins_differ();
  return (uint16_t)(bit_of(LOG_FAULT_PIN_READ_BACK, *outputs != 0) |
                    bit_of(LOG_FAULT_FLASH, !flash_whole()) | bit_of(LOG_FAULT_MEMORY, GPIOR1 != 0) |
                    bit_of(LOG_FAULT_STACK, !guard_whole()) |
                    bit_of(LOG_FAULT_TICK_DRIFT, tick_drifts()));
}
