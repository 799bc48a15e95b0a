#include "crc.h"

#include <stdbool.h>

#ifdef __AVR__
/* Into its one loop: the retained block is sealed with it each minute. */
static inline uint16_t _crc16_update(uint16_t crc, uint8_t byte) __attribute__((always_inline));
#include <util/crc16.h>
#endif

uint16_t crc16_step(uint16_t crc, uint8_t byte) {
#ifdef __AVR__
  return _crc16_update(crc, byte);
#else
  crc = (uint16_t)(crc ^ byte);
  for (uint8_t bit = 0; bit < 8; bit++) {
    crc = (crc & 1u) ? (uint16_t)((crc >> 1) ^ 0xA001u) : (uint16_t)(crc >> 1);
  }
  return crc;
#endif
}

uint16_t crc16(const uint8_t *bytes, uint16_t count) {
  uint16_t crc = 0xFFFFu;
  for (; count > 0; count--) {
#ifdef __AVR__
    crc = _crc16_update(crc, *bytes++);
#else
    crc = crc16_step(crc, *bytes++);
#endif
  }
  return crc;
}

uint32_t crc32_step(uint32_t crc, uint8_t byte) {
  crc ^= byte;
  for (uint8_t bit = 0; bit < 8; bit++) {
    bool odd = (crc & 1u) != 0;
    crc >>= 1;
    if (odd) crc ^= 0xEDB88320u;
  }
  return crc;
}

uint8_t crc8(const uint8_t *bytes, uint8_t count) {
  uint8_t crc = 0;
  for (uint8_t at = 0; at < count; at++) {
    crc ^= bytes[at];
    for (uint8_t bit = 0; bit < 8; bit++) {
      crc = (crc & 1u) ? (uint8_t)((crc >> 1) ^ 0x8Cu) : (uint8_t)(crc >> 1);
    }
  }
  return crc;
}
