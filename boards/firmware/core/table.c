#include "table.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "civil.h"

#define QUARTER_MINUTES 15u
#define CONTINUOUS 0x8000u
#define STEADY 0x8000u
/* Further off, in minutes, than anything a level is asked about. */
#define FAR 16000

enum { OFFSETS, PATTERNS, TRACKS, BINDINGS };

uint16_t table_at;

APART uint8_t table_next8(void) { return hal_eeprom_read(table_at++); }

APART uint16_t table_next16(void) {
  uint8_t low = table_next8();
  return (uint16_t)(low | (table_next8() << 8));
}

APART uint32_t table_next32(void) {
  union { /* chip and hosts are little-endian; shifting takes twice the code */
    uint16_t half[2];
    uint32_t whole;
  } value;
  value.half[0] = table_next16();
  value.half[1] = table_next16();
  return value.whole;
}

uint8_t table_u8(uint16_t at) { return hal_eeprom_read(at); }

APART uint16_t table_u16(uint16_t at) {
  table_at = at;
  return table_next16();
}

APART uint16_t table_end(uint16_t body) {
  if (body == 0) return 0;
  uint16_t head = table_u16((uint16_t)(body - 2u));
  return (uint16_t)(table_at + (head & 0xFFFu));
}

uint16_t table_length(const struct table *table) { return table_u16((uint16_t)(table->at + 3u)); }

uint32_t table_crc(const struct table *table) {
  table_at = (uint16_t)(table->at + table_length(table) - TABLE_CRC_BYTES);
  return table_next32();
}

/* The binding last read. */
static struct {
  uint8_t track;
  uint16_t word; /* day on which it begins, and whether it is steady */
  int8_t quarters;
} binding;

/* Reads a binding; its outputs. */
APART static uint8_t read_binding(void) {
  uint8_t outputs = table_next8();
  binding.track = table_next8();
  binding.word = table_next16();
  if (binding.word & STEADY) binding.quarters = (int8_t)table_next8();
  return outputs;
}

uint8_t table_outputs(const struct table *table) {
  uint8_t outputs = 0;
  uint16_t end = table_end(table->section[BINDINGS]);
  while (table_at < end) outputs |= read_binding();
  return outputs;
}

/* The instant that is asked about, and the clock that is read. */
static struct {
  int32_t minute;   /* of UTC, from the base day */
  uint16_t offsets; /* EEPROM address of the clock's changes; 0: it has none */
  /* Found by the last walk: the offset where it stopped, and how far ahead that ends. */
  int8_t quarters;
  int16_t ahead;
  int16_t latest; /* minutes ahead of UTC now that the latest is which the clock has shown; of a walk with 0s */
  /* What the clock shows; days from the base day. */
  int16_t day;
  int16_t day_minute;
  uint8_t lasting; /* minutes after this one in which the level asked for surely stays */
} now;

/* The instant is minute `minute` from 2000, and the clock is the wall clock. */
APART static void set_now(const struct table *table, uint32_t minute) {
  now.minute = (int32_t)(minute - table->base_day * (uint32_t)CIVIL_DAY_MINUTES);
  now.offsets = table->section[OFFSETS];
}

static int16_t minutes_ahead(int8_t quarters) { return (int16_t)((int16_t)QUARTER_MINUTES * quarters); }

/*
 * One pass over the changes of the clock, all times in minutes of UTC from now,
 * to the first that lies after u = `wall` - `step` * offset. With QUARTER_MINUTES
 * for `step`, u is when the clock reads what it would read at `wall` on UTC, and
 * no earlier than the offset holds; with 0, the offset that holds at `wall` is
 * found. Changes beyond FAR count as FAR, since no `wall` is so far off.
 */
APART static int16_t walk(int16_t wall, uint8_t step) {
  uint16_t end = table_end(now.offsets);
  int16_t ahead = -FAR;
  now.quarters = 0;
  now.ahead = FAR;
  now.latest = 0;
  if (end == 0) return wall;
  now.latest = -FAR;
  now.quarters = (int8_t)table_next8();
  for (;;) {
    uint32_t next = 0; /* a change: its minute, and in the top byte its offset */
    int16_t minute = (int16_t)(wall - now.quarters * step);
    if (minute < ahead) minute = ahead;
    ahead = FAR;
    if (table_at < end) {
      next = table_next32();
      int32_t change = (int32_t)(next & 0xFFFFFFu) - now.minute;
      if (change < FAR) ahead = change < -FAR ? -FAR : (int16_t)change;
    }
    now.ahead = ahead;
    int16_t shown = minutes_ahead(now.quarters);
    if (minute >= ahead) shown = (int16_t)(shown + ahead - 1);
    if (shown > now.latest) now.latest = shown;
    if (minute < ahead) return minute;
    now.quarters = (int8_t)(next >> 24);
  }
}

/* Sets what a clock shows that is `minutes` ahead of UTC. */
APART static void show(int16_t minutes) {
  /* 65,536 days more, which in 16 bits are none, keep the division from negative numbers. */
  uint32_t local = (uint32_t)(now.minute + minutes) + CIVIL_DAY_MINUTES * 0x10000ul;
  now.day = (int16_t)(local / CIVIL_DAY_MINUTES);
  now.day_minute = (int16_t)(local % CIVIL_DAY_MINUTES);
}

APART static void set_now_to(const struct table *table, uint32_t second) { set_now(table, second / 60u); }

/* What the wall clock shows in a minute: the one looked at last and the one before,
 * which are asked for again and again. Finding it takes three divisions. */
static struct wall {
  uint32_t from; /* second */
  int8_t quarters;
  struct moment shown;
  struct moment reached;
} walls[2];

/* No second that is asked for is in its minute. */
#define NEVER 0xFFFFFF00u

void table_forget(void) { walls[0].from = walls[1].from = NEVER; }

static void note_moment(const struct table *table, struct moment *moment, int16_t minutes) {
  show(minutes);
  moment->day = (uint16_t)(table->base_day + (uint16_t)now.day);
  moment->minute = (uint16_t)now.day_minute;
}

/* Looks at the wall clock at `second`. */
APART static const struct wall *look(const struct table *table, uint32_t second) {
  struct wall *wall = walls;
  for (uint8_t left = 2; left > 0; left--, wall++) {
    if (second - wall->from < 60u) return wall;
  }
  walls[1] = walls[0];
  wall = walls;
  uint32_t minute = second / 60u;
  set_now(table, minute);
  walk(0, 0);
  wall->from = minute * 60u;
  wall->quarters = now.quarters;
  int16_t ahead = minutes_ahead(now.quarters);
  note_moment(table, &wall->shown, ahead);
  wall->reached = wall->shown;
  wall->reached.past = now.latest > ahead;
  if (wall->reached.past) note_moment(table, &wall->reached, now.latest);
  return wall;
}

int8_t table_quarters(const struct table *table, uint32_t second) { return look(table, second)->quarters; }

APART uint16_t table_civil_day(const struct table *table, uint32_t second) { return look(table, second)->shown.day; }

uint16_t table_minute_of_day(const struct table *table, uint32_t second) { return look(table, second)->shown.minute; }

APART void table_reached(const struct table *table, uint32_t second, struct moment *moment) {
  *moment = look(table, second)->reached;
}

APART uint32_t table_first_second(const struct table *table, uint16_t day, uint16_t minute) {
  uint32_t wall = day * (uint32_t)CIVIL_DAY_MINUTES + minute;
  set_now(table, wall);
  return (uint32_t)((int32_t)wall + walk(0, QUARTER_MINUTES)) * 60u;
}

static uint16_t find_pattern(const struct table *table, uint8_t pattern) {
  uint16_t at = table->section[PATTERNS];
  for (; pattern > 0; pattern--) at = (uint16_t)(at + 4u + ((table_u8((uint16_t)(at + 1u)) >> 2) & 0x1Eu));
  return at;
}

APART static uint16_t next_run(uint16_t at) {
  uint8_t head = table_u8(at);
  return (uint16_t)(at + ((head & 0x40u) ? 3u + (head & 0x3Fu) : 2u));
}

static uint16_t find_track(const struct table *table, uint8_t track) {
  uint16_t at = table->section[TRACKS];
  while (track > 0) {
    if (table_u8(at) & 0x80u) track--;
    at = next_run(at);
  }
  return at;
}

/* Pattern of the track at `at` on its day `day`, or TABLE_DARK. */
APART static uint8_t pattern_on(uint16_t at, int16_t day) {
  if (day < 0) return TABLE_DARK;
  for (;;) {
    uint8_t head = table_u8(at);
    uint8_t days = table_u8((uint16_t)(at + 1u));
    if (day < days) {
      if (!(head & 0x40u)) return head & 0x3Fu;
      uint16_t turn = (uint16_t)((uint16_t)day / table_u8((uint16_t)(at + 2u)));
      return table_u8((uint16_t)(at + 3u + turn % (head & 0x3Fu)));
    }
    if (head & 0x80u) return TABLE_DARK;
    day = (int16_t)(day - days);
    at = next_run(at);
  }
}

/* What holds now holds no longer than `ahead` minutes. */
APART static void until(int16_t ahead) {
  if (ahead <= now.lasting) now.lasting = (uint8_t)(ahead - 1);
}

/* Level 0-16 that `elapsed` minutes after its start the pattern at `at` gives. */
static uint8_t segment_level(uint16_t at, int16_t elapsed) {
  uint8_t head = table_u8((uint16_t)(at + 1u));
  uint8_t left = (head >> 3) & 15u;
  for (;; left--) {
    at = (uint16_t)(at + 2u);
    uint16_t segment = table_u16(at);
    elapsed = (int16_t)(elapsed - (int16_t)(segment & 0x7FFu));
    if (elapsed < 0) until((int16_t)-elapsed);
    if (elapsed < 0 || (left == 0 && (head & 0x80u))) return (uint8_t)(segment >> 11);
    if (left == 0) return 0;
  }
}

/* Level 0-16 that the binding last read gives now. */
static uint8_t binding_level(const struct table *table) {
  bool steady = (binding.word & STEADY) != 0;
  now.offsets = steady ? 0 : table->section[OFFSETS];
  walk(0, 0);
  until(now.ahead);
  /* From what the clock reads to what walk wants; a steady one does not walk. */
  int16_t offset = (int16_t)((int16_t)QUARTER_MINUTES * now.quarters);
  show(minutes_ahead(steady ? binding.quarters : now.quarters));
  /* The track's day tomorrow. 16 bits: on a day they mistake no track has light, it would last 70 years. */
  int16_t day = (int16_t)(now.day - (int16_t)(binding.word & 0x7FFFu) + 1);
  /* When that day begins, on its own clock from now. */
  int16_t midnight = (int16_t)(CIVIL_DAY_MINUTES - now.day_minute);
  until(midnight);
  uint16_t track = find_track(table, binding.track);
  for (; midnight > -3 * CIVIL_DAY_MINUTES; midnight = (int16_t)(midnight - CIVIL_DAY_MINUTES), day--) {
    uint8_t pattern = pattern_on(track, day);
    if (pattern == TABLE_DARK) continue;
    uint16_t body = find_pattern(table, pattern);
    uint16_t head = table_u16(body);
    int16_t wall = (int16_t)(midnight + offset + (int16_t)(head & 0x7FFu));
    int16_t start = walk(wall, QUARTER_MINUTES);
    if (start > 0) {
      until(start);
      continue;
    }
    if (head & CONTINUOUS) {
      int16_t end = walk((int16_t)(wall + CIVIL_DAY_MINUTES), QUARTER_MINUTES);
      if (end <= 0) continue;
      until(end);
    }
    return segment_level(body, (int16_t)-start);
  }
  return 0;
}

uint8_t table_lasting(void) { return now.lasting; }

uint8_t table_level(const struct table *table, uint8_t output, uint32_t second) {
  uint8_t level = 0;
  set_now_to(table, second);
  now.lasting = 255;
  uint16_t end = table_end(table->section[BINDINGS]);
  while (table_at < end) {
    if (!((read_binding() >> output) & 1)) continue;
    uint16_t next = table_at;
    uint8_t own = binding_level(table);
    if (own > level) level = own;
    table_at = next;
  }
  return (uint8_t)((level << 4) - (level > 8)); /* floor((255 * level + 8) / 16) */
}
