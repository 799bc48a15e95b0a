/*
 * table_open.c: whether bytes in EEPROM are a schedule table. Accepts exactly
 * what the format's document allows; reads nothing before length and CRC hold.
 */
#include "../generated/contract.h"
#include "table.h"

/* A section's body being read; `bad` once anything breaks the format. */
struct reader {
  uint16_t at;
  uint16_t end;
  bool bad;
};

static uint8_t take8(struct reader *reader) {
  if (reader->at >= reader->end) {
    reader->bad = true;
    return 0;
  }
  return table_u8(reader->at++);
}

static uint16_t take16(struct reader *reader) {
  uint8_t low = take8(reader);
  return (uint16_t)(low | (take8(reader) << 8));
}

static void must(struct reader *reader, bool condition) {
  if (!condition) reader->bad = true;
}

static bool more(const struct reader *reader) { return !reader->bad && reader->at < reader->end; }

static void check_offsets(struct reader *reader) {
  int32_t previous = -1;
  take8(reader);
  while (more(reader)) {
    int32_t minute = take16(reader);
    minute |= (int32_t)take8(reader) << 16;
    must(reader, minute > previous);
    previous = minute;
    take8(reader);
  }
}

static void check_pattern(struct reader *reader) {
  uint16_t head = take16(reader);
  uint16_t total = 0;
  for (uint8_t left = (uint8_t)(((head >> 11) & 15u) + 1u); left > 0 && !reader->bad; left--) {
    uint16_t segment = take16(reader);
    must(reader, (segment & 0x7FFu) >= 1 && (segment >> 11) <= 16);
    total = (uint16_t)(total + (segment & 0x7FFu));
    must(reader, total <= 1440);
  }
  must(reader, (head & 0x7FFu) < 1440);
}

static uint8_t check_patterns(struct reader *reader) {
  uint8_t count = 0;
  while (more(reader)) {
    check_pattern(reader);
    must(reader, ++count <= TABLE_MAX_PATTERNS);
  }
  return count;
}

static bool pattern_known(uint8_t pattern, uint8_t count) { return pattern == TABLE_DARK || pattern < count; }

/* Checks one run; true when it ends its track. */
static bool check_run(struct reader *reader, uint8_t patterns) {
  uint8_t head = take8(reader);
  uint8_t low = head & 0x3Fu;
  must(reader, take8(reader) >= 1);
  if (!(head & 0x40u)) {
    must(reader, pattern_known(low, patterns));
  } else {
    must(reader, take8(reader) >= 1 && low >= 2 && low <= 62);
    for (; low > 0 && !reader->bad; low--) must(reader, pattern_known(take8(reader), patterns));
  }
  return (head & 0x80u) != 0;
}

static uint16_t check_tracks(struct reader *reader, uint8_t patterns) {
  uint16_t count = 0;
  bool ended = true;
  while (more(reader)) {
    ended = check_run(reader, patterns);
    if (ended) count++;
  }
  must(reader, ended);
  return count;
}

static void check_bindings(struct reader *reader, uint16_t tracks) {
  while (more(reader)) {
    must(reader, take8(reader) != 0);
    must(reader, take8(reader) < tracks);
    if (take16(reader) & 0x8000u) take8(reader);
  }
}

static void check_entry(struct reader *reader) {
  uint16_t head = take16(reader);
  uint8_t kind = (head >> 11) & 7u;
  uint8_t form = (uint8_t)(head >> 14);
  must(reader, (head & 0x7FFu) < 1440 && kind <= VISIT_KIND_HARVEST);
  must(reader, (form == 3) == (kind == VISIT_KIND_HARVEST));
  take8(reader);
  if (form == 2) return;
  uint8_t second = take8(reader);
  must(reader, second >= 1 && (form != 1 || second < 128));
  if (form != 3) must(reader, take8(reader) >= 1);
}

static void check_visits(struct reader *reader) {
  uint8_t zones = take8(reader);
  must(reader, zones >= 1 && zones <= TABLE_MAX_ZONES);
  while (more(reader)) {
    uint8_t head = take8(reader);
    for (uint8_t left = (uint8_t)((head >> 4) + 1u); left > 0; left--) check_entry(reader);
    for (uint8_t left = (uint8_t)((head & 15u) + 1u); left > 0; left--) {
      take16(reader);
      uint16_t mask = zones > 8 ? take16(reader) : take8(reader);
      must(reader, mask != 0 && mask < (uint32_t)1 << zones);
    }
  }
}

static void check_pulse(struct reader *reader) {
  uint16_t previous = 0;
  must(reader, take8(reader) < 4);
  while (more(reader)) {
    uint16_t from = take16(reader);
    uint16_t until = take16(reader);
    must(reader, from >= previous && until > from && until <= 1440);
    previous = until;
  }
}

struct counts {
  uint8_t patterns;
  uint16_t tracks;
};

static void check_section(uint8_t tag, struct reader *body, struct counts *counts) {
  switch (tag) {
    case TABLE_SECTION_OFFSETS: check_offsets(body); return;
    case TABLE_SECTION_PATTERNS: counts->patterns = check_patterns(body); return;
    case TABLE_SECTION_TRACKS: counts->tracks = check_tracks(body, counts->patterns); return;
    case TABLE_SECTION_BINDINGS: check_bindings(body, counts->tracks); return;
    case TABLE_SECTION_VISITS: check_visits(body); return;
    case TABLE_SECTION_PULSE: check_pulse(body); return;
    default:
      take16(body);
      take16(body);
  }
}

static bool open_sections(struct table *table, uint16_t end) {
  struct reader frame = {(uint16_t)(table->at + TABLE_HEADER_BYTES), end, false};
  struct counts counts = {0, 0};
  uint8_t previous = 0;
  while (more(&frame)) {
    uint16_t head = take16(&frame);
    uint8_t tag = (uint8_t)(head >> 12);
    uint16_t length = head & 0xFFFu;
    if (frame.bad || tag <= previous || tag > TABLE_SECTIONS || length == 0) return false;
    if (length > frame.end - frame.at) return false;
    struct reader body = {frame.at, (uint16_t)(frame.at + length), false};
    check_section(tag, &body, &counts);
    if (body.bad || body.at != body.end) return false;
    table->section[tag - 1] = frame.at;
    table->end[tag - 1] = body.end;
    frame.at = body.end;
    previous = tag;
  }
  return !frame.bad;
}

void table_close(struct table *table) {
  table->at = TABLE_NONE;
  table->base_day = 0;
  for (uint8_t section = 0; section < TABLE_SECTIONS; section++) {
    table->section[section] = 0;
    table->end[section] = 0;
  }
}

bool table_open(struct table *table, uint16_t at, uint16_t length) {
  table_close(table);
  if (length < TABLE_HEADER_BYTES + TABLE_CRC_BYTES || length > TABLE_MAX_BYTES) return false;
  if (table_u8(at) != 0x4Cu || table_u8((uint16_t)(at + 1u)) != 0x57u) return false;
  if (table_u8((uint16_t)(at + 2u)) != TABLE_VERSION || table_u16((uint16_t)(at + 3u)) != length) return false;
  table->at = at;
  if (!table_sound(table) || !open_sections(table, (uint16_t)(at + length - TABLE_CRC_BYTES))) {
    table_close(table);
    return false;
  }
  table->base_day = table_u16((uint16_t)(at + 5u));
  return true;
}
