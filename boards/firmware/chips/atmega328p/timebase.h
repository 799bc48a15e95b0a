/*
 * timebase.h: elapsed time by the CPU's clock, and the alarm that wakes it.
 *
 * Always holds: Timer 1 counts where it does not dim; else Timer 2, else
 * Timer 0, whose overflows are counted.
 */
#ifndef TIMEBASE_H
#define TIMEBASE_H

#include <stdbool.h>
#include <stdint.h>

#if !BOARD_DIM_TIMER_1
#define TIMEBASE_FINE_HZ 62500u  /* Timer 1 at clk/256 */
#define TIMEBASE_COARSE_HZ 244u  /* its high byte: 4.096 ms */
#elif !BOARD_DIM_TIMER_2
#define TIMEBASE_FINE_HZ 15625u  /* Timer 2 at clk/1024 */
#define TIMEBASE_COARSE_HZ 61u   /* its overflows: 16.384 ms */
#else
#define TIMEBASE_FINE_HZ 62500u  /* Timer 0 at clk/256, beside dimming */
#define TIMEBASE_COARSE_HZ 244u  /* its overflows: 4.096 ms */
#endif

void timebase_start(void);
/* Both wrap at 65536; interrupts may be on. */
uint16_t timebase_fine(void);
uint16_t timebase_coarse(void);
/* Wakes the CPU no later than at `coarse`. */
void timebase_alarm(uint16_t coarse);
/* The alarm has come. */
bool timebase_due(void);
/* Asleep until coarse time goes on by one or two; moves the alarm. */
void timebase_wait(void);

#endif
