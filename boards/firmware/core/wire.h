/*
 * wire.h: registers as they stand in a frame, and the bytes of a reply.
 *
 * Always holds: a register's high byte comes first; every byte of a reply
 * counts in the CRC-16 that ends it, low byte first.
 */
#ifndef WIRE_H
#define WIRE_H

#include <stdint.h>

/* A register from its two bytes. */
uint16_t wire_register(const uint8_t *bytes);

/* Begins a reply with its first bytes. */
void wire_begin(const uint8_t *bytes, uint8_t size);
/* Sends bytes of the reply being made. */
void wire_bytes(const uint8_t *bytes, uint8_t size);
/* Sends a register of the reply being made. */
void wire_word(uint16_t value);
/* Ends the reply with its CRC. */
void wire_end(void);

#endif
