/* Generated from boards/mega328-relay8/board.json by generate.ts: do not edit. */
#ifndef BOARD_H
#define BOARD_H

#define BOARD_ID "mega328-relay8"
#define BOARD_NUMBER 1u
#define BOARD_OUTPUTS 8u
#define BOARD_CLOCK_HZ 16000000ul
#define BOARD_BAUD 38400ul
#define BOARD_SUPPLY_NEEDED 0x1194u
#define BOARD_DIM_TIMER_0 0u
#define BOARD_DIM_TIMER_1 0u
#define BOARD_DIM_TIMER_2 0u

/* X(index, port, bit, how, level that is on) */
#define BOARD_EACH_OUTPUT(X) \
  X(0, D, 4, SWITCH, 0) \
  X(1, D, 5, SWITCH, 0) \
  X(2, D, 6, SWITCH, 0) \
  X(3, D, 7, SWITCH, 0) \
  X(4, B, 0, SWITCH, 0) \
  X(5, B, 1, SWITCH, 0) \
  X(6, C, 0, SWITCH, 0) \
  X(7, C, 1, SWITCH, 0)

#define PIN_TICK_PORT PORTD
#define PIN_TICK_DDR DDRD
#define PIN_TICK_PIN PIND
#define PIN_TICK_BIT 2
#define PIN_BUZZER_PORT PORTD
#define PIN_BUZZER_DDR DDRD
#define PIN_BUZZER_PIN PIND
#define PIN_BUZZER_BIT 3
#define PIN_PROBE_PORT PORTB
#define PIN_PROBE_DDR DDRB
#define PIN_PROBE_PIN PINB
#define PIN_PROBE_BIT 4
#define PIN_INDICATOR_PORT PORTB
#define PIN_INDICATOR_DDR DDRB
#define PIN_INDICATOR_PIN PINB
#define PIN_INDICATOR_BIT 5
#define PIN_BUTTON_PORT PORTC
#define PIN_BUTTON_DDR DDRC
#define PIN_BUTTON_PIN PINC
#define PIN_BUTTON_BIT 2
#define PIN_DIRECTION_PORT PORTC
#define PIN_DIRECTION_DDR DDRC
#define PIN_DIRECTION_PIN PINC
#define PIN_DIRECTION_BIT 3

#endif
