#include "twi.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/delay.h>
#include <util/twi.h>

#include "../../hal.h"
#include "adc.h"
#include "tick.h"
#include "timebase.h"

#define CLOCK_PART 0xD0u /* 0x68 */
#define LOG_PART 0xAEu   /* 0x57, the usual address of the EEPROM beside such a clock */
#define READ 1u
#define BIT_RATE 12u     /* 400 kHz at 16 MHz */
/* A byte takes 22.5 us, the longest transfer 37 of them; a pause takes 104 us. */
#define PATIENCE 40u
#define STOP_PATIENCE 200u
#define BUS_PORT PORTC
#define BUS_DDR DDRC
#define BUS_PIN PINC
#define SDA 4
#define SCL 5
/* A page takes 5 to 10 ms to write (data sheet of the AT24C32 type); a tick of the timebase 4 ms or more. */
#define PAGE_TRIES 6u

/* The transfer that runs; the interrupt goes on with it, the loop sleeps meanwhile. */
static struct {
  uint8_t part;        /* address and direction, as called next */
  bool reading;        /* the bytes come from the part */
  uint16_t at;         /* an address within the part, sent first, its high byte before the low one */
  uint8_t at_left;     /* bytes of it still to send */
  uint8_t *bytes;
  uint8_t left;
  volatile enum { RUNNING, GOOD, FAILED } state;
} transfer;

void twi_start(void) {
  /* Bit by bit, each in one instruction: an interrupt writes to this port as well. */
  BUS_PORT |= (1 << SDA);
  BUS_PORT |= (1 << SCL);
  TWBR = BIT_RATE;
  TWSR = 0;
  TWCR = (1 << TWEN);
}

bool hal_bus_held(void) {
  return (BUS_PIN & ((1 << SDA) | (1 << SCL))) != ((1 << SDA) | (1 << SCL));
}

/* Nine clocks free a part that still holds the data line. */
static void free_bus(void) {
  TWCR = 0;
  BUS_PORT &= (uint8_t)~(1 << SDA);
  BUS_PORT &= (uint8_t)~(1 << SCL);
  for (uint8_t pulse = 0; pulse < 9; pulse++) {
    BUS_DDR |= (1 << SCL);
    _delay_us(5);
    BUS_DDR &= (uint8_t)~(1 << SCL);
    _delay_us(5);
  }
  twi_start();
}

/* What follows a byte that was sent and acknowledged; the control to go on with, 0: the transfer is over. */
static inline uint8_t sent(void) {
  if (transfer.at_left > 0) {
    TWDR = (uint8_t)(--transfer.at_left > 0 ? transfer.at >> 8 : transfer.at);
  } else if (transfer.left == 0) {
    return 0;
  } else if (transfer.reading) {
    transfer.part |= READ;
    return 1 << TWSTA;
  } else {
    transfer.left--;
    TWDR = *transfer.bytes++;
  }
  return 1 << TWEN;
}

/* Asks for the next byte; the last one is not acknowledged, which tells the part to stop. */
static inline uint8_t ask(void) { return transfer.left > 1 ? 1 << TWEA : 1 << TWEN; }

static inline uint8_t received(void) {
  *transfer.bytes++ = TWDR;
  return --transfer.left > 0 ? ask() : 0;
}

ISR(TWI_vect) {
  uint8_t next = 1 << TWEN;
  uint8_t state = GOOD;
  switch (TW_STATUS) {
    case TW_START:
    case TW_REP_START: TWDR = transfer.part; break;
    case TW_MT_SLA_ACK:
    case TW_MT_DATA_ACK: next = sent(); break;
    case TW_MR_SLA_ACK: next = ask(); break;
    case TW_MR_DATA_ACK:
    case TW_MR_DATA_NACK: next = received(); break;
    default:
      next = 0;
      state = FAILED;
  }
  if (next != 0) {
    TWCR = (uint8_t)(next | (1 << TWINT) | (1 << TWEN) | (1 << TWIE));
  } else {
    TWCR = (1 << TWINT) | (1 << TWEN) | (1 << TWSTO);
    transfer.state = state;
  }
}

/* Sends `at` in `at_count` bytes, then reads or writes `count` bytes; a bus that hangs is freed. */
static bool run(uint8_t part, uint16_t at, uint8_t at_count, uint8_t *bytes, uint8_t count, bool reading) {
  uint8_t left = STOP_PATIENCE;
  while ((TWCR & (1 << TWSTO)) && --left > 0) {
  }
  transfer.part = part;
  transfer.at = at;
  transfer.at_left = at_count;
  transfer.bytes = bytes;
  transfer.left = count;
  transfer.reading = reading;
  transfer.state = RUNNING;
  __asm__ __volatile__("" ::: "memory"); /* all of it is set before the interrupt may come */
  TWCR = (1 << TWINT) | (1 << TWEN) | (1 << TWIE) | (1 << TWSTA);
  for (left = PATIENCE; transfer.state == RUNNING && left > 0; left--) adc_pause();
  __asm__ __volatile__("" ::: "memory"); /* what was received is read after this */
  if (left == 0) free_bus();
  return left > 0 && transfer.state == GOOD;
}

bool hal_clock_read(uint8_t reg, uint8_t *bytes, uint8_t count) {
  return run(CLOCK_PART, reg, 1, bytes, count, true);
}

bool hal_clock_write(uint8_t reg, const uint8_t *bytes, uint8_t count) {
  bool written = run(CLOCK_PART, reg, 1, (uint8_t *)bytes, count, false);
  if (written && reg == 0) tick_restart();
  return written;
}

bool hal_clock_answers(void) {
  uint8_t second;
  return hal_clock_read(0, &second, 1);
}

/* Waits until a page that is being written is in; the part answers again then. */
static bool log_ready(void) {
  for (uint8_t tries = PAGE_TRIES; tries > 0; tries--) {
    timebase_wait();
    if (run(LOG_PART, 0, 0, 0, 0, false)) return true;
  }
  return false;
}

/* At once, or once more when the part is ready. */
static bool log_run(uint16_t at, uint8_t *bytes, uint8_t count, bool reading) {
  for (bool again = false;; again = true) {
    if (run(LOG_PART, at, 2, bytes, count, reading)) return true;
    if (again || !log_ready()) return false;
  }
}

bool hal_log_read(uint16_t at, uint8_t *bytes, uint8_t count) { return log_run(at, bytes, count, true); }

bool hal_log_write(uint16_t at, const uint8_t *bytes, uint8_t count) {
  return log_run(at, (uint8_t *)bytes, count, false);
}
