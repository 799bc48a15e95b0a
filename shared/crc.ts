/**
 * The three checksums of the contracts, bit by bit as the small chip does them.
 *
 * Always holds: check values over "123456789" are those of the CRC catalogue:
 * CRC-32/ISO-HDLC 0xCBF43926, CRC-16/MODBUS 0x4B37, CRC-8/MAXIM-DOW 0xA1.
 */
import { itemAt } from './assert.ts';

function reflectedTable(polynomial: number): Uint32Array {
  const table = new Uint32Array(256);
  for (let byte = 0; byte < 256; byte++) {
    let crc = byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ polynomial : crc >>> 1;
    table[byte] = crc >>> 0;
  }
  return table;
}

const TABLE_32 = reflectedTable(0xedb88320);
const TABLE_16 = reflectedTable(0xa001);
const TABLE_8 = reflectedTable(0x8c);

/** CRC-32/ISO-HDLC of `bytes`: seals tables. */
export function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) crc = (crc >>> 8) ^ itemAt(TABLE_32, (crc ^ byte) & 0xff);
  return (crc ^ 0xffffffff) >>> 0;
}

/** CRC-16/MODBUS of `bytes`, continued from `crc` (0xFFFF to begin): frames, records, proofs. */
export function crc16(bytes: Uint8Array, crc = 0xffff): number {
  let value = crc;
  for (const byte of bytes) value = (value >>> 8) ^ itemAt(TABLE_16, (value ^ byte) & 0xff);
  return value;
}

/** CRC-8/MAXIM-DOW of `bytes`: the 1-wire probe, the last-alive minute. */
export function crc8(bytes: Uint8Array): number {
  let value = 0;
  for (const byte of bytes) value = itemAt(TABLE_8, (value ^ byte) & 0xff);
  return value;
}
