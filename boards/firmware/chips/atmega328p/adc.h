/*
 * adc.h: the supply against the chip's own 1.1 V reference, and short pauses
 * in which the CPU sleeps while a conversion runs.
 */
#ifndef ADC_H
#define ADC_H

#include <stdint.h>

void adc_start(void);
/* About 104 us, asleep. */
void adc_pause(void);
/* About 52 us, asleep: the rest of a 1-wire slot. */
void adc_short_pause(void);

#endif
