/*
 * wake.h: why the CPU was woken: bits in a general-purpose register that
 * interrupts set in one instruction and the main loop clears.
 */
#ifndef WAKE_H
#define WAKE_H

#include <avr/io.h>

#define WAKE GPIOR0
#define WAKE_TICK 0
#define WAKE_ALARM 1
#define WAKE_EEPROM 2
#define WAKE_BUTTON 3
#define WAKE_LINK 4

/* Lets interrupts in and sleeps until the next. Called with interrupts off, none is missed. */
void wake_sleep(void);

#endif
