#include "twi.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/delay.h>
#include <util/twi.h>

#include "../hal.h"
#include "adc.h"
#include "wake.h"

#define CLOCK_PART 0xD0u /* 0x68 */
#define LOG_PART 0xAEu   /* 0x57, the usual address of the EEPROM beside such a clock */
#define BIT_RATE 12u     /* 400 kHz at 16 MHz */
/* A byte takes 22.5 us. While it does the CPU sleeps, woken by the bus or by a
 * conversion of 104 us; so many wakes are more than a byte can need. */
#define PATIENCE 12u
#define STOP_PATIENCE 200u
#define BUS_PORT PORTC
#define BUS_DDR DDRC
#define BUS_PIN PINC
#define SDA 4
#define SCL 5
/* A page takes 5 to 10 ms to write (data sheet of the AT24C32 type), 104 us a pause. */
#define PAGE_PAUSES 120u

void twi_start(void) {
  BUS_PORT |= (1 << SDA) | (1 << SCL);
  TWBR = BIT_RATE;
  TWSR = 0;
  TWCR = (1 << TWEN);
}

/* Nine clocks free a part that still holds the data line. */
static void free_bus(void) {
  TWCR = 0;
  BUS_PORT &= (uint8_t)~((1 << SDA) | (1 << SCL));
  for (uint8_t pulse = 0; pulse < 9; pulse++) {
    BUS_DDR |= (1 << SCL);
    _delay_us(5);
    BUS_DDR &= (uint8_t)~(1 << SCL);
    _delay_us(5);
  }
  twi_start();
}

/* Done: no more interrupts until the next step. Writing TWINT as 0 leaves it. */
ISR(TWI_vect) { TWCR = (1 << TWEN); }

static bool step(uint8_t control, uint8_t expected) {
  uint8_t left = PATIENCE;
  TWCR = (uint8_t)(control | (1 << TWINT) | (1 << TWEN) | (1 << TWIE));
  for (;;) {
    adc_begin();
    cli();
    if (TWCR & (1 << TWINT)) break;
    wake_sleep();
    if (--left == 0) return false;
  }
  sei();
  return TW_STATUS == expected;
}

static bool send(uint8_t byte, uint8_t expected) {
  TWDR = byte;
  return step(0, expected);
}

static bool begin(uint8_t part, uint8_t started, uint8_t acknowledged) {
  return step(1 << TWSTA, started) && send(part, acknowledged);
}

static bool send_all(const uint8_t *bytes, uint8_t count) {
  for (; count > 0; count--) {
    if (!send(*bytes++, TW_MT_DATA_ACK)) return false;
  }
  return true;
}

static bool receive_all(uint8_t *bytes, uint8_t count) {
  for (; count > 0; count--) {
    bool last = count == 1;
    if (!step(last ? 0 : 1 << TWEA, last ? TW_MR_DATA_NACK : TW_MR_DATA_ACK)) return false;
    *bytes++ = TWDR;
  }
  return true;
}

/* Ends a transfer; a failed one may have left the bus held. */
static bool end(bool good) {
  uint8_t left = STOP_PATIENCE;
  bool held = !good && TW_STATUS != TW_MT_SLA_NACK;
  TWCR = (1 << TWINT) | (1 << TWEN) | (1 << TWSTO);
  while ((TWCR & (1 << TWSTO)) && --left > 0) {
  }
  if (held || left == 0) free_bus();
  return good;
}

bool twi_read(uint8_t part, const uint8_t *head, uint8_t head_count, uint8_t *bytes, uint8_t count) {
  return end(begin(part, TW_START, TW_MT_SLA_ACK) && send_all(head, head_count) &&
             begin((uint8_t)(part | 1u), TW_REP_START, TW_MR_SLA_ACK) && receive_all(bytes, count));
}

bool twi_write(uint8_t part, const uint8_t *head, uint8_t head_count, const uint8_t *bytes, uint8_t count) {
  return end(begin(part, TW_START, TW_MT_SLA_ACK) && send_all(head, head_count) && send_all(bytes, count));
}

bool hal_clock_read(uint8_t reg, uint8_t *bytes, uint8_t count) {
  return twi_read(CLOCK_PART, &reg, 1, bytes, count);
}

bool hal_clock_write(uint8_t reg, const uint8_t *bytes, uint8_t count) {
  return twi_write(CLOCK_PART, &reg, 1, bytes, count);
}

bool hal_clock_answers(void) {
  uint8_t second;
  return hal_clock_read(0, &second, 1);
}

/* Waits until a page that is being written is in; the part answers again then. */
static bool log_ready(void) {
  for (uint8_t pauses = PAGE_PAUSES; pauses > 0; pauses--) {
    if (end(begin(LOG_PART, TW_START, TW_MT_SLA_ACK))) return true;
    adc_pause();
  }
  return false;
}

bool hal_log_read(uint16_t at, uint8_t *bytes, uint8_t count) {
  uint8_t head[2] = {(uint8_t)(at >> 8), (uint8_t)at};
  return twi_read(LOG_PART, head, 2, bytes, count) ||
         (log_ready() && twi_read(LOG_PART, head, 2, bytes, count));
}

bool hal_log_write(uint16_t at, const uint8_t *bytes, uint8_t count) {
  uint8_t head[2] = {(uint8_t)(at >> 8), (uint8_t)at};
  return twi_write(LOG_PART, head, 2, bytes, count) ||
         (log_ready() && twi_write(LOG_PART, head, 2, bytes, count));
}
