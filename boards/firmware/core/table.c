#include "table.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "civil.h"
#include "crc.h"

#define QUARTER_MINUTES 15

enum { OFFSETS, PATTERNS, TRACKS, BINDINGS, LIMITS };

uint8_t table_u8(uint16_t at) { return hal_eeprom_read(at); }

uint16_t table_u16(uint16_t at) {
  return (uint16_t)(hal_eeprom_read(at) | (hal_eeprom_read((uint16_t)(at + 1u)) << 8));
}

static uint32_t u24(uint16_t at) { return table_u16(at) | ((uint32_t)table_u8((uint16_t)(at + 2u)) << 16); }

static uint32_t u32(uint16_t at) {
  return table_u16(at) | ((uint32_t)table_u16((uint16_t)(at + 2u)) << 16);
}

uint16_t table_length(const struct table *table) { return table_u16((uint16_t)(table->at + 3u)); }

uint32_t table_crc(const struct table *table) {
  return u32((uint16_t)(table->at + table_length(table) - TABLE_CRC_BYTES));
}

bool table_sound(const struct table *table) {
  uint32_t crc = 0xFFFFFFFFu;
  uint16_t end = (uint16_t)(table->at + table_length(table) - TABLE_CRC_BYTES);
  for (uint16_t at = table->at; at < end; at++) crc = crc32_step(crc, table_u8(at));
  return (crc ^ 0xFFFFFFFFu) == u32(end);
}

struct table_limits table_limits(const struct table *table) {
  struct table_limits limits = {0, 0};
  if (table->at != TABLE_NONE && table->section[LIMITS] != 0) {
    limits.dwell = table_u16(table->section[LIMITS]);
    limits.longest_minutes = table_u16((uint16_t)(table->section[LIMITS] + 2u));
  }
  return limits;
}

/* Bytes of the binding at `at`: 5 when steady. */
static uint8_t binding_bytes(uint16_t at) { return (table_u8((uint16_t)(at + 3u)) & 0x80u) ? 5 : 4; }

uint8_t table_outputs(const struct table *table) {
  uint8_t outputs = 0;
  if (table->at == TABLE_NONE) return 0;
  for (uint16_t at = table->section[BINDINGS]; at < table->end[BINDINGS];
       at = (uint16_t)(at + binding_bytes(at))) {
    outputs |= table_u8(at);
  }
  return outputs;
}

/* Whole minutes from 2000; divides only when another minute is asked for. */
static uint32_t minutes_from_2000(uint32_t second) {
  static uint32_t from;
  static uint32_t minutes;
  if (second - from >= 60u) {
    minutes = second / 60u;
    from = minutes * 60u;
  }
  return minutes;
}

/* Minutes of UTC from the base day, rounded down. */
static int32_t base_minute(const struct table *table, uint32_t second) {
  return (int32_t)minutes_from_2000(second) - (int32_t)table->base_day * CIVIL_DAY_MINUTES;
}

/* What holds now holds no longer than `ahead` minutes. */
static void until(int32_t *span, int32_t ahead) {
  if (ahead < *span) *span = ahead;
}

static int8_t quarters_until(const struct table *table, int32_t minute, int32_t *span) {
  uint16_t at = table->section[OFFSETS];
  if (at == 0) return 0;
  int8_t quarters = (int8_t)table_u8(at);
  for (at++; at < table->end[OFFSETS]; at = (uint16_t)(at + 4u)) {
    int32_t change = (int32_t)u24(at);
    if (minute < change) {
      until(span, change - minute);
      break;
    }
    quarters = (int8_t)table_u8((uint16_t)(at + 3u));
  }
  return quarters;
}

static int8_t quarters_at(const struct table *table, int32_t minute) {
  int32_t span = 0;
  return quarters_until(table, minute, &span);
}

/* First minute of UTC at which the wall clock reads wall minute `wall`. */
static int32_t first_minute(const struct table *table, int32_t wall) {
  uint16_t at = table->section[OFFSETS];
  if (at == 0) return wall;
  int32_t minute = wall - QUARTER_MINUTES * (int8_t)table_u8(at);
  for (at++; at < table->end[OFFSETS]; at = (uint16_t)(at + 4u)) {
    int32_t change = (int32_t)u24(at);
    if (minute < change) break;
    minute = wall - QUARTER_MINUTES * (int8_t)table_u8((uint16_t)(at + 3u));
    if (minute < change) minute = change;
  }
  return minute;
}

static int32_t floor_day(int32_t minute) {
  return minute >= 0 ? minute / CIVIL_DAY_MINUTES : -((CIVIL_DAY_MINUTES - 1 - minute) / CIVIL_DAY_MINUTES);
}

int8_t table_quarters(const struct table *table, uint32_t second) {
  return table->at == TABLE_NONE ? 0 : quarters_at(table, base_minute(table, second));
}

/* Wall minutes from 2000-01-01 at `second`. */
static int32_t wall_minute(const struct table *table, uint32_t second) {
  return (int32_t)minutes_from_2000(second) + QUARTER_MINUTES * table_quarters(table, second);
}

uint16_t table_civil_day(const struct table *table, uint32_t second) {
  return (uint16_t)floor_day(wall_minute(table, second));
}

uint16_t table_minute_of_day(const struct table *table, uint32_t second) {
  int32_t wall = wall_minute(table, second);
  return (uint16_t)(wall - floor_day(wall) * CIVIL_DAY_MINUTES);
}

uint32_t table_first_second(const struct table *table, uint16_t day, uint16_t minute) {
  if (table->at == TABLE_NONE) return day * (uint32_t)CIVIL_DAY_SECONDS + minute * (uint32_t)60u;
  int32_t base = (int32_t)table->base_day * CIVIL_DAY_MINUTES;
  int32_t wall = (int32_t)day * CIVIL_DAY_MINUTES + minute - base;
  return (uint32_t)(first_minute(table, wall) + base) * 60u;
}

static uint16_t pattern_bytes(uint16_t at) {
  return (uint16_t)(4u + 2u * ((table_u16(at) >> 11) & 15u));
}

static uint8_t run_bytes(uint16_t at) {
  uint8_t head = table_u8(at);
  return (head & 0x40u) ? (uint8_t)(3u + (head & 0x3Fu)) : 2;
}

static uint16_t find_pattern(const struct table *table, uint8_t pattern) {
  uint16_t at = table->section[PATTERNS];
  for (; pattern > 0; pattern--) at = (uint16_t)(at + pattern_bytes(at));
  return at;
}

static uint16_t find_track(const struct table *table, uint8_t track) {
  uint16_t at = table->section[TRACKS];
  while (track > 0) {
    if (table_u8(at) & 0x80u) track--;
    at = (uint16_t)(at + run_bytes(at));
  }
  return at;
}

/* Pattern of the track at `at` on its day `day`, or TABLE_DARK. */
static uint8_t pattern_on(uint16_t at, int32_t day) {
  if (day < 0 || day > 0x7FFF) return TABLE_DARK;
  uint16_t left = (uint16_t)day;
  for (;;) {
    uint8_t head = table_u8(at);
    uint8_t days = table_u8((uint16_t)(at + 1u));
    if (left < days) {
      if (!(head & 0x40u)) return head & 0x3Fu;
      uint8_t turn = (uint8_t)((uint8_t)left / table_u8((uint16_t)(at + 2u)));
      return table_u8((uint16_t)(at + 3u + turn % (head & 0x3Fu)));
    }
    if (head & 0x80u) return TABLE_DARK;
    left = (uint16_t)(left - days);
    at = (uint16_t)(at + run_bytes(at));
  }
}

struct binding {
  uint16_t track; /* address */
  int32_t start_day;
  bool steady;
  int8_t quarters;
};

static int32_t start_minute(const struct table *table, const struct binding *binding, int32_t day,
                            uint16_t minute) {
  int32_t wall = day * CIVIL_DAY_MINUTES + minute;
  return binding->steady ? wall - QUARTER_MINUTES * binding->quarters : first_minute(table, wall);
}

/* Level 0-16 that `elapsed` minutes after its start the pattern at `at` gives. */
static uint8_t segment_level(uint16_t at, int32_t elapsed, int32_t *span) {
  uint16_t head = table_u16(at);
  uint8_t left = (uint8_t)(((head >> 11) & 15u) + 1u);
  for (;;) {
    at = (uint16_t)(at + 2u);
    uint16_t segment = table_u16(at);
    elapsed -= (int32_t)(segment & 0x7FFu);
    if (elapsed < 0) {
      until(span, -elapsed);
      return (uint8_t)(segment >> 11);
    }
    if (--left == 0) return (uint8_t)((head & 0x8000u) ? segment >> 11 : 0);
  }
}

static uint8_t binding_level(const struct table *table, const struct binding *binding, int32_t minute,
                             int32_t *span) {
  int8_t quarters = binding->steady ? binding->quarters : quarters_until(table, minute, span);
  int32_t local = minute + QUARTER_MINUTES * quarters;
  int32_t today = floor_day(local);
  until(span, (today + 1) * CIVIL_DAY_MINUTES - local);
  for (int8_t back = -1; back <= 2; back++) {
    int32_t day = today - back;
    uint8_t pattern = pattern_on(binding->track, day - binding->start_day);
    if (pattern == TABLE_DARK) continue;
    uint16_t at = find_pattern(table, pattern);
    uint16_t head = table_u16(at);
    uint16_t start = head & 0x7FFu;
    int32_t from = start_minute(table, binding, day, start);
    if (minute < from) {
      until(span, from - minute);
      continue;
    }
    if (head & 0x8000u) {
      int32_t end = start_minute(table, binding, day + 1, start);
      if (minute >= end) continue;
      until(span, end - minute);
    }
    return segment_level(at, minute - from, span);
  }
  return 0;
}

uint8_t table_level(const struct table *table, uint8_t output, uint32_t second, uint8_t *still) {
  uint8_t level = 0;
  int32_t span = 256;
  *still = 0;
  if (table->at == TABLE_NONE) return 0;
  int32_t minute = base_minute(table, second);
  for (uint16_t at = table->section[BINDINGS]; at < table->end[BINDINGS];
       at = (uint16_t)(at + binding_bytes(at))) {
    if (!(table_u8(at) & (1u << output))) continue;
    uint16_t word = table_u16((uint16_t)(at + 2u));
    struct binding binding;
    binding.start_day = word & 0x7FFFu;
    binding.steady = (word & 0x8000u) != 0;
    binding.quarters = binding.steady ? (int8_t)table_u8((uint16_t)(at + 4u)) : 0;
    binding.track = find_track(table, table_u8((uint16_t)(at + 1u)));
    uint8_t own = binding_level(table, &binding, minute, &span);
    if (own > level) level = own;
  }
  *still = (uint8_t)(span - 1);
  return (uint8_t)((255u * level + 8u) / 16u);
}
