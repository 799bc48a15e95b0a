/*
 * link.h: Modbus RTU frames in, replies out.
 *
 * Always holds: the controller never speaks first; a frame for another unit,
 * broken off, or with a wrong CRC gets no answer; while a request is in work,
 * bytes that arrive are not taken.
 */
#ifndef LINK_H
#define LINK_H

#include <stdbool.h>
#include <stdint.h>

/* Longest request that is kept whole: function 16 with 16 registers. */
#define LINK_BYTES 41

/* From the start: ready for a frame. */
void link_start(void);
/* A byte arrived after that much silence, MAP_SILENCE_. May be called by an interrupt. */
void link_receive(uint8_t byte, uint8_t silence);
/* Answers a frame that is complete; goes on with a request in work. */
void link_poll(void);
/* True while link_poll has something to do soon. */
bool link_busy(void);

#endif
