/*
 * controller.h: a start, and whatever is due after it.
 *
 * Always holds: events act at the second last processed.
 */
#ifndef CONTROLLER_H
#define CONTROLLER_H

/* After every reset, pins already off. */
void controller_start(void);
/* Whatever is due: ticks, presses, requests, writes. Called when the hardware woke. */
void controller_poll(void);

#endif
