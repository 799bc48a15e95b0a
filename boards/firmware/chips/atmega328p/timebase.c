#include "timebase.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "wake.h"

static volatile uint16_t alarm_at;

#if !BOARD_DIM_TIMER_1

static volatile uint8_t overflows;

ISR(TIMER1_OVF_vect) { overflows++; }
ISR(TIMER1_COMPA_vect, ISR_NAKED) {
  __asm__ __volatile__("sbi %0, %1\n\treti" ::"I"(_SFR_IO_ADDR(WAKE)), "I"(WAKE_ALARM));
}

void timebase_start(void) {
  TCCR1A = 0;
  TCCR1B = (1 << CS12);
  TIMSK1 = (1 << TOIE1) | (1 << OCIE1A);
}

uint16_t timebase_fine(void) {
  uint16_t count;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { count = TCNT1; }
  return count;
}

uint16_t timebase_coarse(void) {
  uint16_t count;
  uint8_t high;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    count = TCNT1;
    high = overflows;
    if ((TIFR1 & (1 << TOV1)) && count < 0x8000u) high++;
  }
  return (uint16_t)(((uint16_t)high << 8) | (count >> 8));
}

static void aim(uint16_t coarse) { OCR1A = (uint16_t)(coarse << 8); }

#else

#if !BOARD_DIM_TIMER_2
#define COUNTER TCNT2
#define OVERFLOWED (TIFR2 & (1 << TOV2))
#define OVERFLOW_VECTOR TIMER2_OVF_vect
static void start_counter(void) {
  TCCR2B = (1 << CS22) | (1 << CS21) | (1 << CS20);
  TIMSK2 = (1 << TOIE2);
}
#else
#define COUNTER TCNT0
#define OVERFLOWED (TIFR0 & (1 << TOV0))
#define OVERFLOW_VECTOR TIMER0_OVF_vect
static void start_counter(void) { TIMSK0 = (1 << TOIE0); /* pins.c runs Timer 0 at clk/256 */ }
#endif

static volatile uint16_t overflows;

/* Comes often, so it alone sees whether the alarm is due. */
ISR(OVERFLOW_VECTOR) {
  uint16_t now = (uint16_t)(overflows + 1u);
  overflows = now;
  if (now == alarm_at) WAKE |= (1 << WAKE_ALARM);
}

void timebase_start(void) { start_counter(); }

uint16_t timebase_fine(void) {
  uint8_t low;
  uint16_t high;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    low = COUNTER;
    high = overflows;
    if (OVERFLOWED && low < 0x80u) high++;
  }
  return (uint16_t)((high << 8) | low);
}

uint16_t timebase_coarse(void) {
  uint16_t count;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { count = overflows; }
  return count;
}

static void aim(uint16_t coarse) { (void)coarse; }

#endif

void timebase_alarm(uint16_t coarse) {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    alarm_at = coarse;
    aim(coarse);
  }
  if (timebase_due()) WAKE |= (1 << WAKE_ALARM); /* it had come already */
}

bool timebase_due(void) { return (int16_t)(timebase_coarse() - alarm_at) >= 0; }

void timebase_wait(void) {
  timebase_alarm((uint16_t)(timebase_coarse() + 2u));
  while (!timebase_due()) {
    /* An alarm that comes between test and sleep waits, and wakes at once. */
    cli();
    if (!timebase_due()) wake_sleep();
    sei();
  }
}
