#include "wake.h"

#include <avr/interrupt.h>
#include <avr/sleep.h>

void wake_sleep(void) {
  sei();
  sleep_cpu();
}
