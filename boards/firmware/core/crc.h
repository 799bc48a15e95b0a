/*
 * crc.h: the three checksums of the contracts, a byte at a time.
 *
 * Always holds: over "123456789" they give the CRC catalogue's check values
 * CRC-32/ISO-HDLC CBF43926, CRC-16/MODBUS 4B37, CRC-8/MAXIM-DOW A1.
 */
#ifndef CRC_H
#define CRC_H

#include <stdint.h>

/* CRC-16/MODBUS: begin with 0xFFFF. */
uint16_t crc16_step(uint16_t crc, uint8_t byte);
uint16_t crc16(const uint8_t *bytes, uint16_t count);
/* CRC-32/ISO-HDLC: begin with 0xFFFFFFFF, complement at the end. */
uint32_t crc32_step(uint32_t crc, uint8_t byte);
/* CRC-8/MAXIM-DOW. */
uint8_t crc8(const uint8_t *bytes, uint8_t count);

#endif
