/*
 * button.c: short and long presses of the one button, to ground.
 *
 * Always holds: one hold gives one press at most; less than 30 ms is none.
 */
#include <avr/interrupt.h>
#include <avr/io.h>

#include "../../hal.h"
#include "pins.h"
#include "timebase.h"
#include "wake.h"

/* At least 30 ms and 1.5 s: the count may be nearly one on when the hold begins. */
#define BOUNCE (TIMEBASE_COARSE_HZ * 3u / 100u + 2u)
#define LONG_HOLD (TIMEBASE_COARSE_HZ * 3u / 2u + 2u)

ISR(PCINT1_vect, ISR_NAKED) {
  __asm__ __volatile__("sbi %0, %1\n\treti" ::"I"(_SFR_IO_ADDR(WAKE)), "I"(WAKE_BUTTON));
}

static uint16_t down_since;
static bool down;
static bool spent; /* the hold has been a long press */
static enum hal_press press;

static bool is_down(void) { return (PIN_BUTTON_PIN & (1 << PIN_BUTTON_BIT)) == 0; }

bool button_active(void) { return down && !spent; }

void button_poll(uint16_t now) {
  bool held = is_down();
  uint16_t gone = (uint16_t)(now - down_since);
  if (held && !down) {
    down_since = now;
    spent = false;
  } else if (held && !spent && gone >= LONG_HOLD) {
    spent = true;
    press = HAL_PRESS_LONG;
  } else if (!held && down && !spent && gone >= BOUNCE) {
    press = HAL_PRESS_SHORT;
  }
  down = held;
}

enum hal_press hal_press_take(void) {
  enum hal_press taken = press;
  press = HAL_PRESS_NONE;
  return taken;
}
