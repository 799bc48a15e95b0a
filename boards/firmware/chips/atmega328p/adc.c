#include "adc.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#include "../../generated/contract.h"
#include "../../hal.h"

/* Supply as reference, the 1.1 V band gap as input (data sheet, ADMUX). */
#define BAND_GAP ((1 << REFS0) | 0x0E)
#define STEPS 1024ul
#define SLOW ((1 << ADEN) | (1 << ADIE) | (1 << ADPS2) | (1 << ADPS1) | (1 << ADPS0)) /* clk/128 */
#define QUICK ((1 << ADEN) | (1 << ADIE) | (1 << ADPS2) | (1 << ADPS1))               /* clk/64 */

EMPTY_INTERRUPT(ADC_vect)

void adc_start(void) {
  ADMUX = BAND_GAP;
  adc_pause(); /* the first conversion after the reference is switched on is not to be trusted */
}

static void convert(uint8_t control) {
  ADCSRA = (uint8_t)(control | (1 << ADSC));
  while (ADCSRA & (1 << ADSC)) {
    /* An interrupt that ends the conversion between test and sleep waits, and wakes at once. */
    cli();
    if (ADCSRA & (1 << ADSC)) {
      sei();
      sleep_cpu();
    }
    sei();
  }
}

void adc_pause(void) { convert(SLOW); }
void adc_short_pause(void) { convert(QUICK); }

uint16_t hal_supply(void) {
  static uint16_t last_steps;
  static uint16_t last_supply;
  adc_pause();
  uint16_t steps = ADC;
  if (steps == 0) return 0;
  if (steps != last_steps) {
    last_steps = steps;
    last_supply = (uint16_t)((uint32_t)LAW_REFERENCE_MILLIVOLTS * STEPS / steps);
  }
  return last_supply;
}

uint16_t hal_supply_needed(void) { return BOARD_SUPPLY_NEEDED; }
