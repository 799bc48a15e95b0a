/*
 * table_open.c: whether bytes in EEPROM are a schedule table. Accepts exactly
 * what the format's document allows; reads nothing before length and CRC hold.
 */
#include "../generated/contract.h"
#include "apart.h"
#include "civil.h"
#include "crc.h"
#include "table.h"

/* Where table_at is once anything breaks the format: beyond every end. */
#define WRONG 0xFFFFu

/* One past the section body being read. */
static uint16_t body_end;

APART static void wrong(void) { table_at = WRONG; }

APART static bool more(void) { return table_at < body_end; }

static uint8_t take8(void) {
  if (more()) return table_next8();
  wrong();
  return 0;
}

static uint16_t take16(void) {
  uint8_t low = take8();
  return (uint16_t)(low | (take8() << 8));
}

/* A byte that is not 0. */
static uint8_t take_some(void) {
  uint8_t value = take8();
  if (value == 0) wrong();
  return value;
}

/* A word that begins with a minute of the day; its upper byte. */
static uint8_t take_timed(void) {
  uint16_t word = take16();
  if ((word & 0x7FFu) >= CIVIL_DAY_MINUTES) wrong();
  return (uint8_t)(word >> 8);
}

static void check_offsets(void) {
  /* Of the minute before: its upper 16 bits and its lowest byte. */
  uint16_t high = 0;
  int16_t low = -1;
  take8();
  while (more()) {
    uint8_t next_low = take8();
    uint16_t next_high = take16();
    if (next_high < high || (next_high == high && next_low <= low)) wrong();
    high = next_high;
    low = next_low;
    take8();
  }
}

static uint8_t check_patterns(void) {
  uint8_t count = 0;
  for (; more(); count++) {
    uint16_t total = 0;
    uint8_t left = (uint8_t)(((take_timed() >> 3) & 15u) + 1u);
    do {
      uint16_t segment = take16();
      uint16_t length = segment & 0x7FFu;
      if (length == 0 || segment >= (17u << 11)) wrong();
      total = (uint16_t)(total + length);
    } while (--left != 0);
    if (total > CIVIL_DAY_MINUTES) wrong();
  }
  if (count > TABLE_MAX_PATTERNS) wrong();
  return count;
}

static uint8_t check_tracks(uint8_t patterns) {
  uint8_t count = 0;
  uint8_t head = 0;
  while (more()) {
    head = take8();
    uint8_t side = head & 0x3Fu;
    uint8_t left = 0;
    take_some();
    if (head & 0x40u) {
      if (side < 2 || side == 63) wrong();
      take_some();
      left = side;
      side = TABLE_DARK;
    }
    for (;; left--) {
      if (side != TABLE_DARK && side >= patterns) wrong();
      if (left == 0) break;
      side = take8();
    }
    if (head & 0x80u) count++;
  }
  if (!(head & 0x80u)) wrong();
  return count;
}

static void check_bindings(uint8_t tracks) {
  while (more()) {
    take_some();
    if (take8() >= tracks) wrong();
    if (take16() & 0x8000u) take8();
  }
}

static void check_entry(void) {
  uint8_t head = take_timed();
  uint8_t form = head & 0xC0u;
  uint8_t kind = head & 0x38u;
  take8();
  if (form == 0xC0u ? kind != VISIT_KIND_HARVEST << 3 : kind >= VISIT_KIND_HARVEST << 3) wrong();
  if (form == 0x80u) return;
  uint8_t second = take_some();
  if (form == 0xC0u) return;
  if (form == 0x40u && second >= 128) wrong();
  take_some();
}

static void check_visits(void) {
  uint8_t count = take_some();
  uint16_t all = 0xFFFFu; /* zones */
  if (count > 16) wrong();
  for (uint8_t zone = count; zone < 16; zone++) all >>= 1;
  while (more()) {
    uint8_t head = take8();
    uint8_t left = (uint8_t)((head >> 4) + 1u);
    do check_entry();
    while (--left != 0);
    left = (uint8_t)((head & 15u) + 1u);
    do {
      take16();
      uint16_t zones = take8();
      if (count > 8) zones |= (uint16_t)(take8() << 8);
      if ((uint16_t)(zones - 1u) >= all) wrong();
    } while (--left != 0);
  }
}

static void check_pulse(void) {
  uint16_t least = 0;
  if (take8() >= 4) wrong();
  while (more()) {
    uint16_t from = take16();
    if (from < least) wrong();
    least = take16();
    if (least <= from || least > CIVIL_DAY_MINUTES) wrong();
  }
}

/* What later sections ask of earlier ones. */
static struct {
  uint8_t patterns;
  uint8_t tracks;
} counts;

APART static void check_body(uint8_t tag) {
  switch (tag) {
    case TABLE_SECTION_OFFSETS: check_offsets(); return;
    case TABLE_SECTION_PATTERNS: counts.patterns = check_patterns(); return;
    case TABLE_SECTION_TRACKS: counts.tracks = check_tracks(counts.patterns); return;
    case TABLE_SECTION_BINDINGS: check_bindings(counts.tracks); return;
    case TABLE_SECTION_VISITS: check_visits(); return;
    case TABLE_SECTION_PULSE: check_pulse(); return;
    default: /* limits, room */
      take16();
      take16();
  }
}

static bool open_sections(struct table *table, uint16_t end) {
  uint8_t previous = 0;
  counts.patterns = counts.tracks = 0;
  while (table_at < end) {
    uint16_t head = table_next16();
    uint8_t tag = (uint8_t)(head >> 12);
    body_end = (uint16_t)(table_at + (head & 0xFFFu));
    if (tag <= previous || tag > TABLE_SECTIONS || !more() || body_end > end) return false;
    table->section[tag - 1] = table_at;
    check_body(tag);
    if (table_at != body_end) return false;
    previous = tag;
  }
  return true;
}

void table_close(struct table *table) {
  table_forget();
  table->at = TABLE_NONE;
  table->base_day = 0;
  for (uint8_t section = 0; section < TABLE_SECTIONS; section++) table->section[section] = 0;
}

static bool opens(struct table *table, uint16_t at, uint16_t length) {
  uint16_t end = (uint16_t)(at + length - TABLE_CRC_BYTES);
  uint32_t crc = 0xFFFFFFFFu;
  if (length < TABLE_HEADER_BYTES + TABLE_CRC_BYTES || length > TABLE_MAX_BYTES) return false;
  table_at = at;
  if (table_next16() != 0x574Cu || table_next8() != TABLE_VERSION || table_next16() != length) return false;
  table->at = at;
  table->base_day = table_next16();
  for (table_at = at; table_at < end;) crc = crc32_step(crc, table_next8());
  if (~crc != table_next32()) return false;
  table_at = (uint16_t)(at + TABLE_HEADER_BYTES);
  return open_sections(table, end);
}

bool table_open(struct table *table, uint16_t at, uint16_t length) {
  table_close(table);
  if (opens(table, at, length)) return true;
  table_close(table);
  return false;
}
