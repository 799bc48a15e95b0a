/*
 * eeprom.c: the chip's own EEPROM, a byte at a time; the interrupt only wakes.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../../hal.h"
#include "wake.h"

ISR(EE_READY_vect, ISR_NAKED) {
  __asm__ __volatile__("cbi %0, %1\n\tsbi %2, %3\n\treti" ::"I"(_SFR_IO_ADDR(EECR)), "I"(EERIE),
                       "I"(_SFR_IO_ADDR(WAKE)), "I"(WAKE_EEPROM));
}

bool hal_eeprom_busy(void) { return (EECR & (1 << EEPE)) != 0; }

uint8_t hal_eeprom_read(uint16_t at) {
  while (hal_eeprom_busy()) {
  }
  EEAR = at;
  EECR |= (1 << EERE);
  return EEDR;
}

void hal_eeprom_write(uint16_t at, uint8_t value) {
  EEAR = at;
  EEDR = value;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { /* EEPE within four cycles after EEMPE (data sheet) */
    EECR |= (1 << EEMPE);
    EECR |= (1 << EEPE);
  }
  EECR |= (1 << EERIE);
}

void hal_idle(void) {
  cli();
  if (hal_eeprom_busy()) wake_sleep();
  sei();
}
