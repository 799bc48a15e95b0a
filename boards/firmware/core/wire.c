#include "wire.h"

#include "../hal.h"
#include "apart.h"
#include "crc.h"

static uint16_t crc; /* of the reply so far */

APART uint16_t wire_register(const uint8_t *bytes) { return (uint16_t)((bytes[0] << 8) | bytes[1]); }

static void send(uint8_t byte) {
  crc = crc16_step(crc, byte);
  hal_send(byte);
}

void wire_word(uint16_t value) {
  send((uint8_t)(value >> 8));
  send((uint8_t)value);
}

APART void wire_bytes(const uint8_t *bytes, uint8_t size) {
  for (; size > 0; size--) send(*bytes++);
}

void wire_begin(const uint8_t *bytes, uint8_t size) {
  crc = 0xFFFFu;
  wire_bytes(bytes, size);
}

void wire_end(void) {
  send((uint8_t)crc); /* which leaves of it the high byte */
  send((uint8_t)crc);
  hal_send_end();
}
