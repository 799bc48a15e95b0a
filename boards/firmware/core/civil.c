#include "civil.h"

#define FOUR_YEARS 1461u

static bool from_bcd(uint8_t bcd, uint8_t low, uint8_t high, uint8_t *value) {
  uint8_t tens = (uint8_t)(bcd >> 4);
  uint8_t ones = (uint8_t)(bcd & 15u);
  *value = (uint8_t)(tens * 10u + ones);
  return tens < 10 && ones < 10 && *value >= low && *value <= high;
}

static uint8_t to_bcd(uint8_t value) { return (uint8_t)(((value / 10u) << 4) | (value % 10u)); }

static uint8_t month_days(uint8_t year, uint8_t month) {
  if (month == 2) return (year & 3u) == 0 ? 29 : 28;
  return (month == 4 || month == 6 || month == 9 || month == 11) ? 30 : 31;
}

static uint16_t days_before_year(uint8_t year) {
  return (uint16_t)(year * 365u + (year + 3u) / 4u);
}

bool civil_from_registers(const uint8_t *registers, uint32_t *seconds) {
  uint8_t second, minute, hour, day, month, year;
  if (!from_bcd(registers[0], 0, 59, &second) || !from_bcd(registers[1], 0, 59, &minute)) return false;
  if (!from_bcd(registers[2], 0, 23, &hour)) return false;
  if (!from_bcd((uint8_t)(registers[5] & 0x7Fu), 1, 12, &month)) return false;
  if (!from_bcd(registers[6], 0, 99, &year)) return false;
  if (!from_bcd(registers[4], 1, month_days(year, month), &day)) return false;
  uint16_t days = (uint16_t)(days_before_year(year) + day - 1u);
  for (uint8_t before = 1; before < month; before++) days = (uint16_t)(days + month_days(year, before));
  *seconds = days * (uint32_t)CIVIL_DAY_SECONDS + hour * (uint32_t)3600u + minute * (uint32_t)60u + second;
  return true;
}

void civil_to_registers(uint32_t seconds, uint8_t *registers) {
  uint16_t days = (uint16_t)(seconds / CIVIL_DAY_SECONDS);
  uint32_t rest = seconds % CIVIL_DAY_SECONDS;
  uint16_t minutes = (uint16_t)(rest / 60u);
  registers[0] = to_bcd((uint8_t)(rest % 60u));
  registers[1] = to_bcd((uint8_t)(minutes % 60u));
  registers[2] = to_bcd((uint8_t)(minutes / 60u));
  registers[3] = (uint8_t)(civil_weekday(days) + 1u);
  uint8_t year = (uint8_t)((days * (uint32_t)4u + 3u) / FOUR_YEARS);
  if (year > 0 && days < days_before_year(year)) year--;
  days = (uint16_t)(days - days_before_year(year));
  uint8_t month = 1;
  while (days >= month_days(year, month)) {
    days = (uint16_t)(days - month_days(year, month));
    month++;
  }
  registers[4] = to_bcd((uint8_t)(days + 1u));
  registers[5] = to_bcd(month);
  registers[6] = to_bcd(year);
}

uint8_t civil_weekday(uint16_t day) { return (uint8_t)((day + 5u) % 7u); }
