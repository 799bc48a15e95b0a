#include "pins.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../../hal.h"

#define CONCAT_(a, b) a##b
#define CONCAT(a, b) CONCAT_(a, b)

/* Timers that dim: fast PWM. Timer 0 also counts time on such boards, at clk/256. */
static void dim_start(void) {
#if BOARD_DIM_TIMER_0
  TCCR0A = (1 << WGM01) | (1 << WGM00);
  TCCR0B = (1 << CS02);
#endif
#if BOARD_DIM_TIMER_1
  TCCR1A = (1 << WGM10);
  TCCR1B = (1 << WGM12) | (1 << CS11) | (1 << CS10);
#endif
#if BOARD_DIM_TIMER_2
  TCCR2A = (1 << WGM21) | (1 << WGM20);
  TCCR2B = (1 << CS22);
#endif
}

#define CHANNEL_0A &TCCR0A, 1 << COM0A1, &OCR0A
#define CHANNEL_0B &TCCR0A, 1 << COM0B1, &OCR0B
#define CHANNEL_1A &TCCR1A, 1 << COM1A1, &OCR1AL
#define CHANNEL_1B &TCCR1A, 1 << COM1B1, &OCR1BL
#define CHANNEL_2A &TCCR2A, 1 << COM2A1, &OCR2A
#define CHANNEL_2B &TCCR2A, 1 << COM2B1, &OCR2B

#if BOARD_DIM_TIMER_0 || BOARD_DIM_TIMER_1 || BOARD_DIM_TIMER_2
/* Between off and full the compare channel drives the pin. At 0 it is let go,
 * since a duty of 0 still gives one spike a period. While the channel drives
 * the pin the port's own bit does not show: it is set before the channel lets
 * go, and cleared after it took over. */
static void dim(volatile uint8_t *port, uint8_t bit, volatile uint8_t *control, uint8_t connect,
                volatile uint8_t *compare, uint8_t level) {
  *compare = level;
  if (level != 0 && level != 0xFFu) {
    *control = (uint8_t)(*control | connect);
    *port = (uint8_t)(*port & ~bit);
    return;
  }
  *port = (uint8_t)(level == 0 ? *port & ~bit : *port | bit);
  *control = (uint8_t)(*control & ~connect);
}
#endif

#define SET_PIN(port, bit, high) \
  ((high) ? (CONCAT(PORT, port) |= (1 << (bit))) : (CONCAT(PORT, port) &= (uint8_t)~(1 << (bit))))

#define SHOW_SWITCH(port, bit, active, level) SET_PIN(port, bit, ((level) != 0) == ((active) != 0))
#define SHOW_DIM(which, port, bit, level) dim(&CONCAT(PORT, port), 1 << (bit), CHANNEL_##which, level)
#define SHOW_DIM_0A(port, bit, active, level) SHOW_DIM(0A, port, bit, level)
#define SHOW_DIM_0B(port, bit, active, level) SHOW_DIM(0B, port, bit, level)
#define SHOW_DIM_1A(port, bit, active, level) SHOW_DIM(1A, port, bit, level)
#define SHOW_DIM_1B(port, bit, active, level) SHOW_DIM(1B, port, bit, level)
#define SHOW_DIM_2A(port, bit, active, level) SHOW_DIM(2A, port, bit, level)
#define SHOW_DIM_2B(port, bit, active, level) SHOW_DIM(2B, port, bit, level)

static uint8_t shown[BOARD_OUTPUTS];

void hal_output(uint8_t output, uint8_t level) {
  if (shown[output] == level) return;
  shown[output] = level;
#define SHOW(index, port, bit, how, active) \
  case index: SHOW_##how(port, bit, active, level); return;
  switch (output) { BOARD_EACH_OUTPUT(SHOW) }
}

void pins_start(void) {
#define REST(index, port, bit, how, active) SET_PIN(port, bit, !(active));
  BOARD_EACH_OUTPUT(REST)
#define DRIVE(index, port, bit, how, active) CONCAT(DDR, port) = (uint8_t)(CONCAT(DDR, port) | (1 << (bit)));
  BOARD_EACH_OUTPUT(DRIVE)
  dim_start();
  PIN_DIRECTION_PORT &= (uint8_t)~(1 << PIN_DIRECTION_BIT); /* a shared line is left free */
  PIN_DIRECTION_DDR |= (1 << PIN_DIRECTION_BIT);
  PIN_INDICATOR_DDR |= (1 << PIN_INDICATOR_BIT);
  PIN_BUZZER_DDR |= (1 << PIN_BUZZER_BIT);
  PIN_BUTTON_PORT |= (1 << PIN_BUTTON_BIT);
  PCMSK1 = (1 << PIN_BUTTON_BIT);
  PCICR = (1 << PCIE1);
}

uint8_t pins_differ(void) {
  uint8_t differ = 0;
#define IS_SWITCH_SWITCH true
#define IS_SWITCH_DIM_0A false
#define IS_SWITCH_DIM_0B false
#define IS_SWITCH_DIM_1A false
#define IS_SWITCH_DIM_1B false
#define IS_SWITCH_DIM_2A false
#define IS_SWITCH_DIM_2B false
#define READ_BACK(index, port, bit, how, active)                                        \
  if (IS_SWITCH_##how && ((CONCAT(PIN, port) ^ CONCAT(PORT, port)) & (1 << (bit)))) {   \
    differ = (uint8_t)(differ | (1u << (index)));                                       \
  }
  BOARD_EACH_OUTPUT(READ_BACK)
  return differ;
}

/* ---- indicator and buzzer ---- */

#define QUARTERS 0x0Fu

static uint8_t lights;
static uint8_t sounds;

void hal_signals(uint8_t light, uint8_t sound) {
  lights = light & QUARTERS;
  sounds = sound & QUARTERS;
  signals_poll(0);
}

bool signals_change(void) {
  return (lights != 0 && lights != QUARTERS) || (sounds != 0 && sounds != QUARTERS);
}

void signals_poll(uint8_t quarter) {
  bool light = (lights & (1u << quarter)) != 0;
  bool sound = (sounds & (1u << quarter)) != 0;
  if (light) {
    PIN_INDICATOR_PORT |= (1 << PIN_INDICATOR_BIT);
  } else {
    PIN_INDICATOR_PORT &= (uint8_t)~(1 << PIN_INDICATOR_BIT);
  }
  if (sound) {
    PIN_BUZZER_PORT |= (1 << PIN_BUZZER_BIT);
  } else {
    PIN_BUZZER_PORT &= (uint8_t)~(1 << PIN_BUZZER_BIT);
  }
}
