/*
 * main.c: a start, and the loop: sleep, see who woke, work, sleep.
 *
 * Always holds: the watchdog is reset only by a loop that comes round; every
 * interrupt only notes, the loop acts.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "../../core/controller.h"
#include "../../core/link.h"
#include "../../generated/contract.h"
#include "../../hal.h"
#include "adc.h"
#include "pins.h"
#include "probe.h"
#include "self_test.h"
#include "tick.h"
#include "timebase.h"
#include "twi.h"
#include "uart.h"
#include "wake.h"

/* A little over a second: the tick comes first, and the watchdog has time. */
#define QUIET_WAIT (TIMEBASE_COARSE_HZ + TIMEBASE_COARSE_HZ / 40u)

/* Why the chip was reset, before anything else uses a register: MCUSR, or what
 * a bootloader that clears it leaves in r2. Kept in GPIOR2. */
__attribute__((naked, used, section(".init0"))) void note_cause(void) {
  __asm__ __volatile__(
      "in r24, %[mcusr]\n\t"
      "cpi r24, 0\n\t"
      "brne 1f\n\t"
      "mov r24, r2\n\t"
      "1: out %[keep], r24\n\t"
      "clr r24\n\t"
      "out %[mcusr], r24\n\t" ::[mcusr] "I"(_SFR_IO_ADDR(MCUSR)),
      [keep] "I"(_SFR_IO_ADDR(GPIOR2)));
}

/* Pins first: before memory is tested or filled. */
__attribute__((naked, used, section(".init3"))) void first_pins(void) {
  wdt_reset();
  pins_start();
}

uint8_t hal_boot_cause(void) {
  uint8_t cause = GPIOR2;
  if (cause & (1 << PORF)) return LOG_BOOT_CAUSE_POWER_ON;
  if (cause & (1 << BORF)) return LOG_BOOT_CAUSE_BROWN_OUT;
  /* A bootloader leaves by its watchdog: then both bits stand. */
  if (cause & (1 << EXTRF)) return LOG_BOOT_CAUSE_EXTERNAL;
  if (cause & (1 << WDRF)) return LOG_BOOT_CAUSE_WATCHDOG;
  return LOG_BOOT_CAUSE_EXTERNAL;
}

uint8_t hal_output_count(void) { return BOARD_OUTPUTS; }
uint16_t hal_board_number(void) { return BOARD_NUMBER; }
char hal_board_id(uint8_t index) {
  static const char id[] = BOARD_ID;
  return id[index];
}

/* Two seconds without a reset interrupt, and lamps fail dark; two more reset. */
static void watchdog_start(void) {
  wdt_reset();
  WDTCSR = (uint8_t)((1 << WDCE) | (1 << WDE));
  WDTCSR = (uint8_t)((1 << WDIE) | (1 << WDE) | (1 << WDP2) | (1 << WDP1) | (1 << WDP0));
}

/* Whatever hung may not go on as if lamps were lit: only the reset leads out. */
ISR(WDT_vect) {
  pins_off();
  for (;;) {
  }
}

void hal_working(void) { wdt_reset(); }

void wake_sleep(void) {
  sei();
  sleep_cpu();
}

/* Quarter of the second that runs. */
static uint8_t quarter_now(uint16_t now) {
  uint16_t gone = (uint16_t)(now - tick_began());
  if (gone < TIMEBASE_COARSE_HZ / 2u) return gone < TIMEBASE_COARSE_HZ / 4u ? 0 : 1;
  return gone < TIMEBASE_COARSE_HZ * 3u / 4u ? 2 : 3;
}

/* The next moment at which something must be looked at without an interrupt. */
static void set_alarm(uint16_t now) {
  uint16_t wait = QUIET_WAIT;
  if (button_active()) wait = TIMEBASE_COARSE_HZ / 60u;
  if (signals_change()) {
    uint16_t next = (uint16_t)((quarter_now(now) + 1u) * TIMEBASE_COARSE_HZ / 4u + 1u);
    uint16_t left = (uint16_t)(tick_began() + next - now);
    if (left < wait) wait = left;
  }
  timebase_alarm((uint16_t)(now + (wait == 0 ? 1 : wait)));
}

int main(void) {
  SMCR = (1 << SE); /* idle */
  self_test_start();
  timebase_start();
  watchdog_start();
  sei();
  adc_start();
  twi_start();
  tick_start();
  controller_start();
  uart_start();
  for (;;) {
    wdt_reset();
    if (WAKE != 0) {
      WAKE = 0;
      uint16_t now = timebase_coarse();
      button_poll(now);
      controller_poll();
      probe_poll();
      now = timebase_coarse(); /* later than the tick that was taken */
      if (signals_change()) signals_poll(quarter_now(now));
      set_alarm(now);
    }
    cli();
    if (WAKE == 0) wake_sleep();
    sei();
  }
}
