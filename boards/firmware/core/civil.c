#include "civil.h"

#include "apart.h"

#define INVALID 0x80u

static uint8_t to_bcd(uint8_t value) {
  uint8_t bcd = value;
  for (; value >= 10; value = (uint8_t)(value - 10u)) bcd = (uint8_t)(bcd + 6u);
  return bcd;
}

/* INVALID when it is no BCD number below `limit`. */
static uint8_t from_bcd(uint8_t bcd, uint8_t limit) {
  uint8_t value = (uint8_t)(bcd - 6u * (bcd >> 4));
  return (bcd & 15u) < 10 && value < limit ? value : INVALID;
}

/* Days from 2000-01-01 to the first of a month; month 13 is the next January.
 * Counted in years that begin with March 1996: then a leap day ends its year, and
 * the months before a month have 30.6 days each, rounded. */
static uint16_t days_before(uint8_t year, uint8_t month) {
  uint8_t marches = (uint8_t)(year + 4u);
  if (month < 3) {
    month = (uint8_t)(month + 12u);
    marches--;
  }
  return (uint16_t)(marches * 365u + marches / 4u + ((month * 979u - 2919u) >> 5) - 1401u);
}

uint32_t civil_from_registers(const uint8_t *registers) {
  uint8_t second = from_bcd(registers[0], 60);
  uint8_t minute = from_bcd(registers[1], 60);
  uint8_t hour = from_bcd(registers[2], 24);
  uint8_t day = from_bcd(registers[4], 32);
  uint8_t month = from_bcd(registers[5] & 0x7Fu, 13);
  uint8_t year = from_bcd(registers[6], 100);
  if (((second | minute | hour | day | month | year) & INVALID) != 0 || month == 0) return CIVIL_NONE;
  uint16_t days = (uint16_t)(days_before(year, month) + day - 1u);
  if (day == 0 || days >= days_before(year, (uint8_t)(month + 1u))) return CIVIL_NONE;
  uint16_t minutes = (uint16_t)(hour * 60u + minute);
  return (days * (uint32_t)CIVIL_DAY_MINUTES + minutes) * 60u + second;
}

/* Divides *seconds by `by`; the rest. */
static APART uint8_t split(uint32_t *seconds, uint8_t by) {
  uint32_t whole = *seconds / by;
  uint8_t rest = (uint8_t)(*seconds % by);
  *seconds = whole;
  return rest;
}

void civil_to_registers(uint32_t seconds, uint8_t *registers) {
  uint8_t year = 99;
  uint8_t month = 12;
  registers[0] = split(&seconds, 60);
  registers[1] = split(&seconds, 60);
  registers[2] = split(&seconds, 24);
  uint16_t days = (uint16_t)seconds;
  while (days_before(year, 1) > days) year--;
  while (days_before(year, month) > days) month--;
  registers[3] = (uint8_t)(civil_weekday(days) + 1u);
  registers[4] = (uint8_t)(days - days_before(year, month) + 1u);
  registers[5] = month;
  registers[6] = year;
  for (uint8_t at = 0; at < CIVIL_CLOCK_REGISTERS; at++) registers[at] = to_bcd(registers[at]);
}

uint8_t civil_weekday(uint16_t day) { return (uint8_t)((day + 5u) % 7u); }
