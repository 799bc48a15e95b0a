/*
 * uart.c: the serial line, and the direction of an RS-485 driver beside it.
 *
 * Always holds: received bytes go straight into the frame; no reply begins
 * before the line was silent as long as the standard asks; sent bytes wait in a
 * ring, and whoever fills it sleeps while it is full.
 */
#include "uart.h"

#include <avr/interrupt.h>
#include <avr/io.h>

#include "../../core/link.h"
#include "../../generated/contract.h"
#include "../../hal.h"
#include "adc.h"
#include "timebase.h"
#include "wake.h"

#define RING 32u
#define DIVIDER ((BOARD_CLOCK_HZ / 8u + BOARD_BAUD / 2u) / BOARD_BAUD - 1u)
/* From the end of one byte to the end of the next: a byte's length more than the silence
 * between. That much is left for rounding and for an interrupt that waits. */
#define FINE(micros) ((uint16_t)((micros) * (uint32_t)TIMEBASE_FINE_HZ / 1000000u))
#define FRAME_FINE FINE(MAP_FRAME_SILENCE_MICROS)
#define LONG_FINE FINE(MAP_OWN_PAUSE_MICROS)

typedef char ring_is_a_power_of_two[(RING & (RING - 1u)) == 0 ? 1 : -1];

static volatile uint8_t ring[RING];
static volatile uint8_t head;
static volatile uint8_t tail;
static volatile uint16_t heard_coarse;
static volatile uint16_t heard_fine;
static bool replying;

void uart_start(void) {
  UBRR0 = DIVIDER;
  UCSR0A = (1 << U2X0);
  UCSR0C = (1 << UCSZ01) | (1 << UCSZ00);
  UCSR0B = (1 << RXEN0) | (1 << TXEN0) | (1 << RXCIE0) | (1 << TXCIE0);
}

ISR(USART_RX_vect) {
  uint8_t status = UCSR0A;
  uint8_t byte = UDR0;
  uint16_t fine = timebase_fine();
  uint16_t coarse = timebase_coarse();
  uint16_t gone = (uint16_t)(coarse - heard_coarse) > TIMEBASE_COARSE_HZ / 2u ? LONG_FINE : (uint16_t)(fine - heard_fine);
  heard_fine = fine;
  heard_coarse = coarse;
  if (status & ((1 << FE0) | (1 << DOR0))) byte = (uint8_t)~byte; /* spoil the CRC */
  link_receive(byte, gone >= LONG_FINE ? MAP_SILENCE_LONG : gone >= FRAME_FINE ? MAP_SILENCE_FRAME : MAP_SILENCE_NONE);
  WAKE |= (1 << WAKE_LINK);
}

ISR(USART_UDRE_vect) {
  UDR0 = ring[tail];
  tail = (uint8_t)((tail + 1u) & (RING - 1u));
  if (tail == head) UCSR0B &= (uint8_t)~(1 << UDRIE0);
}

ISR(USART_TX_vect) {
  if (tail == head) PIN_DIRECTION_PORT &= (uint8_t)~(1 << PIN_DIRECTION_BIT);
}

/* Until the line has been silent long enough for a reply, asleep; a tick more, since the first may be cut short. */
static void wait_silence(void) {
  uint16_t from;
  uint16_t coarse;
  cli();
  from = heard_fine;
  coarse = heard_coarse;
  sei();
  while ((uint16_t)(timebase_fine() - from) <= FRAME_FINE &&
         (uint16_t)(timebase_coarse() - coarse) <= TIMEBASE_COARSE_HZ / 2u) {
    adc_short_pause();
  }
}

void hal_send(uint8_t byte) {
  if (!replying) wait_silence();
  replying = true;
  uint8_t next = (uint8_t)((head + 1u) & (RING - 1u));
  while (next == tail) {
    cli();
    if (next == tail) wake_sleep();
    sei();
  }
  ring[head] = byte;
  cli();
  /* Both at once: had the ring run empty, the end of the byte before would turn the driver off between. */
  PIN_DIRECTION_PORT |= (1 << PIN_DIRECTION_BIT);
  head = next;
  UCSR0B |= (1 << UDRIE0);
  sei();
}

void hal_send_end(void) { replying = false; }
