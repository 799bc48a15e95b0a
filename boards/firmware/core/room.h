/*
 * room.h: the probe's temperature, minute by minute.
 *
 * Always holds: the room changes no output. Temperatures in 1/16 degree Celsius.
 */
#ifndef ROOM_H
#define ROOM_H

#include <stdbool.h>
#include <stdint.h>

/* Reads the probe at a whole minute. */
void room_minute(bool day_open);
/* The last reading into *sixteenths; false: none. */
bool room_last(int16_t *sixteenths);
/* The last reading lay outside the band. */
bool room_outside(void);
/* Starts the day's figures afresh. */
void room_clear_day(void);
/* Half degrees of the day's least, mean and greatest; -128 each without a reading. */
void room_day(int8_t *least, int8_t *mean, int8_t *greatest);

#endif
