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

/* Why the chip was reset, before anything clears it: MCUSR, 0 where a bootloader
 * cleared it already. Kept in GPIOR2. What a bootloader may leave in a working
 * register is not looked at: old ones leave chance there, some the wrong cause. */
__attribute__((naked, used, section(".init0"))) void note_cause(void) {
  __asm__ __volatile__(
      "in r24, %[mcusr]\n\t"
      "out %[keep], r24\n\t"
      "clr r24\n\t"
      "out %[mcusr], r24\n\t" ::[mcusr] "I"(_SFR_IO_ADDR(MCUSR)),
      [keep] "I"(_SFR_IO_ADDR(GPIOR2)));
}

/* Pins first: before memory is filled (.init4) and tested (.init5). */
__attribute__((naked, used, section(".init3"))) void first_pins(void) {
  wdt_reset();
  pins_start();
}

/* Kept through a reset that keeps memory: that it was kept, and that a hang was the reason. */
static uint32_t memory_note __attribute__((section(".noinit")));
#define MEMORY_KEPT 0x6B8E45D2ul
#define AFTER_HANG 0x94713AC9ul

uint8_t hal_boot_cause(void) {
  uint8_t flags = GPIOR2;
  uint32_t note = memory_note;
  memory_note = MEMORY_KEPT;
  if (flags & (1 << PORF)) return LOG_BOOT_CAUSE_POWER_ON;
  if (flags & (1 << BORF)) return LOG_BOOT_CAUSE_BROWN_OUT;
  if (note == AFTER_HANG) return LOG_BOOT_CAUSE_WATCHDOG;
  if (flags & (1 << EXTRF)) return LOG_BOOT_CAUSE_EXTERNAL; /* beside it WDRF: a bootloader leaves by its watchdog */
  if (flags & (1 << WDRF)) return LOG_BOOT_CAUSE_WATCHDOG;
  return note == MEMORY_KEPT ? LOG_BOOT_CAUSE_EXTERNAL : LOG_BOOT_CAUSE_POWER_ON;
}

/* No interrupt source goes on that a reset would have stopped. */
static void quiet(void) {
  TIMSK0 = TIMSK1 = TIMSK2 = 0;
  EIMSK = 0;
  PCICR = 0;
  UCSR0B = 0;
  TWCR = 0;
  ADCSRA = 0;
  EECR &= (uint8_t)~(1 << EERIE);
  WAKE = 0;
}

uint8_t hal_output_count(void) { return BOARD_OUTPUTS; }
uint16_t hal_board_number(void) { return BOARD_NUMBER; }
char hal_board_id(uint8_t index) {
  static const char id[] = BOARD_ID;
  return id[index];
}

/* Two seconds without coming round and the interrupt below restarts the program;
 * two more, where not even that is reached, and the hardware resets. */
static void watchdog_start(void) {
  wdt_reset();
  WDTCSR = (uint8_t)((1 << WDCE) | (1 << WDE));
  WDTCSR = (uint8_t)((1 << WDIE) | (1 << WDE) | (1 << WDP2) | (1 << WDP1) | (1 << WDP0));
}

/* Whatever hung may not go on as if lamps were lit: pins dark, then the program
 * begins anew, at its own start and not at the bootloader's. Some bootloaders know
 * no watchdog, which a hardware reset leaves on at 16 ms: they would never come to
 * the program again. No promise holds about stack and registers here. */
ISR(WDT_vect, ISR_NAKED) {
  __asm__ __volatile__("clr __zero_reg__\n\tldi r28, lo8(%[end])\n\tldi r29, hi8(%[end])\n\tout __SP_H__, r29\n\tout __SP_L__, r28"
                       ::[end] "i"(RAMEND) : "r28", "r29");
  pins_start();
  quiet();
  memory_note = AFTER_HANG;
  __asm__ __volatile__("jmp 0");
}

void hal_working(void) { wdt_reset(); }

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
