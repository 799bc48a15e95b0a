/*
 * tick.h: the battery clock's one-second line.
 */
#ifndef TICK_H
#define TICK_H

#include <stdbool.h>
#include <stdint.h>

void tick_start(void);
/* The clock's time was written: its second begins now, and ticks before count no more. */
void tick_restart(void);
/* Coarse time of the last second's beginning. */
uint16_t tick_began(void);
/* Five seconds in a row differed from the CPU's clock by more than 2 %. */
bool tick_drifts(void);

#endif
