/**
 * Addresses and interrupt vectors of the ATmega328P's peripherals, under the
 * data sheet's names (as avr-libc's iom328p.h has them).
 */

export const REG = {
  PINB: 0x23,
  DDRB: 0x24,
  PORTB: 0x25,
  PINC: 0x26,
  DDRC: 0x27,
  PORTC: 0x28,
  PIND: 0x29,
  DDRD: 0x2a,
  PORTD: 0x2b,
  GPIOR0: 0x3e,
  EECR: 0x3f,
  EEDR: 0x40,
  EEARL: 0x41,
  EEARH: 0x42,
  SMCR: 0x53,
  MCUSR: 0x54,
  SPMCSR: 0x57,
  WDTCSR: 0x60,
  ADCL: 0x78,
  ADCH: 0x79,
  ADCSRA: 0x7a,
  UCSR0A: 0xc0,
  UDR0: 0xc6,
  TWBR: 0xb8,
  TWSR: 0xb9,
  TWDR: 0xbb,
  TWCR: 0xbc,
} as const;

/** Word addresses of interrupt vectors. */
export const INTERRUPT_AT = { WDT: 0x0c, ADC: 0x2a, EE_READY: 0x2c, TWI: 0x30 } as const;
