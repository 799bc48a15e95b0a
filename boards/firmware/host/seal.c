/*
 * seal.c: a build tool. Appends to a binary image the CRC-16/MODBUS over all
 * its bytes, low byte first, where the firmware's self-test looks for it.
 */
#include <stdint.h>
#include <stdio.h>

#include "../core/crc.h"

int main(int count, char **names) {
  uint16_t crc = 0xFFFFu;
  int byte;
  if (count != 3) return 2;
  FILE *in = fopen(names[1], "rb");
  FILE *out = fopen(names[2], "wb");
  if (!in || !out) return 1;
  while ((byte = fgetc(in)) != EOF) {
    crc = crc16_step(crc, (uint8_t)byte);
    fputc(byte, out);
  }
  fputc(crc & 0xFF, out);
  fputc(crc >> 8, out);
  return fclose(out) == 0 && fclose(in) == 0 ? 0 : 1;
}
