/*
 * room.h: the probe's temperature, minute by minute.
 *
 * Always holds: the room changes no output. Temperatures in 1/16 degree Celsius.
 */
#ifndef ROOM_H
#define ROOM_H

#include <stdbool.h>
#include <stdint.h>

#define ROOM_NONE (-128)

/* Reads the probe at a whole minute. */
void room_minute(void);
/* The last reading into *sixteenths; false: none. */
bool room_last(int16_t *sixteenths);
/* The last reading lay outside the band. */
bool room_outside(void);
struct kept_day;
/* The day's mean in half degrees; ROOM_NONE without a reading. */
int8_t room_mean(const struct kept_day *day);

#endif
