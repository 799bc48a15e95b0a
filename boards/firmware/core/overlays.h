/*
 * overlays.h: hand switching and the work light.
 *
 * Always holds: each is named, logged, and ends by itself; output n follows
 * n - 1 seconds late where several switch together. Outputs count from 0 here.
 */
#ifndef OVERLAYS_H
#define OVERLAYS_H

#include <stdbool.h>
#include <stdint.h>

/* Hand level of `output` at `second` into *level; false when no hand overlay covers it. */
bool hand_covers(uint8_t output, uint32_t second, uint8_t *level);
bool work_covers(uint8_t output, uint32_t second);

/* Switches `outputs` by hand: those in `on` fully on, the others off. */
void hand_switch(uint8_t outputs, uint8_t on, bool staggered);
/* Ends all hand switching. */
void hand_release(void);
bool hand_running(void);

void work_begin(void);
void work_finish(void);
bool work_running(void);

/* Logs the overlays that end at the second being processed. */
void overlays_end(void);
/* Overlay ends move with a large step of the clock. */
void overlays_shift(uint32_t step);
/* Seconds left of the longest overlay. */
uint16_t overlays_left(void);
/* True while some overlay may change a target. */
bool overlays_active(void);

#endif
