/*
 * probe.c: a DS18B20-type probe on one wire (timings and commands from its
 * data sheet; scratchpad sealed with CRC-8/MAXIM-DOW).
 *
 * Always holds: interrupts are off for 15 us at most, within one bit.
 */
#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "../../core/crc.h"
#include "../../hal.h"
#include "adc.h"
#include "probe.h"
#include "timebase.h"

#define SKIP_ROM 0xCCu
#define CONVERT 0x44u
#define READ_SCRATCHPAD 0xBEu
#define SCRATCHPAD 9
/* 750 ms at least, though a count has begun and a resonator may be 0.5 % fast. */
#define MEASURING_TIME (TIMEBASE_COARSE_HZ * 3u / 4u + 3u)
#define PORT_BIT (1 << PIN_PROBE_BIT)

/* The line is pulled up outside; low is driven, high is let go. */
static void pull(void) { PIN_PROBE_DDR |= PORT_BIT; }
static void let_go(void) { PIN_PROBE_DDR &= (uint8_t)~PORT_BIT; }
static bool is_high(void) { return (PIN_PROBE_PIN & PORT_BIT) != 0; }

/* 480 us low, then the probe answers 15 to 60 us after for 60 to 240 us. */
static bool present(void) {
  bool low;
  PIN_PROBE_PORT &= (uint8_t)~PORT_BIT;
  pull();
  for (uint8_t pause = 0; pause < 5; pause++) adc_pause();
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { let_go(); }
  adc_short_pause();
  _delay_us(15);
  low = !is_high();
  for (uint8_t pause = 0; pause < 4; pause++) adc_pause();
  return low && is_high();
}

/* One slot: writes `bit`, or with 1 also reads what the probe answers. */
static bool slot(bool bit) {
  bool answer;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    pull();
    _delay_us(2);
    if (bit) let_go();
    _delay_us(6);
    answer = is_high();
  }
  adc_short_pause();
  let_go();
  _delay_us(1);
  return answer;
}

static uint8_t exchange(uint8_t byte) {
  for (uint8_t bit = 0; bit < 8; bit++) {
    bool answer = slot((byte & 1u) != 0);
    byte = (uint8_t)((byte >> 1) | (answer ? 0x80u : 0u));
  }
  return byte;
}

/* A value from before the last call to measure is not taken. */
static enum { IDLE, MEASURING, MEASURED } state;
static uint16_t measured_at; /* coarse time */
static int16_t value;

void hal_probe_prepare(void) {
  state = IDLE;
  measured_at = (uint16_t)(timebase_coarse() + MEASURING_TIME);
  if (!present()) return;
  state = MEASURING;
  (void)exchange(SKIP_ROM);
  (void)exchange(CONVERT);
}

void probe_poll(void) {
  uint8_t pad[SCRATCHPAD];
  if (state != MEASURING || (int16_t)(timebase_coarse() - measured_at) < 0) return;
  state = IDLE;
  if (!present()) return;
  (void)exchange(SKIP_ROM);
  (void)exchange(READ_SCRATCHPAD);
  for (uint8_t at = 0; at < SCRATCHPAD; at++) pad[at] = exchange(0xFFu);
  if (crc8(pad, SCRATCHPAD - 1) != pad[SCRATCHPAD - 1]) return;
  value = (int16_t)(pad[0] | (pad[1] << 8));
  state = MEASURED;
}

bool hal_probe(int16_t *sixteenths) {
  *sixteenths = value;
  return state == MEASURED;
}
