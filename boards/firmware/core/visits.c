#include "visits.h"

#include "../generated/contract.h"
#include "civil.h"
#include "clock.h"
#include "faults.h"
#include "log.h"
#include "state.h"
#include "visit_scan.h"

#define LATE_AFTER 7200u
#define MOST_OUTAGE (14u * (uint32_t)CIVIL_DAY_SECONDS)
#define TAKE_BACK_SECONDS (7u * (uint32_t)CIVIL_DAY_SECONDS)
#define NEVER 0xFFFFFFFFu
#define REMINDER_LAST_DAYS 3u

/* Civil days; 0: none. */
static uint16_t closed[VISIT_KINDS][TABLE_MAX_ZONES];
static uint16_t seen[TABLE_MAX_ZONES];

static struct {
  uint16_t open[VISIT_KINDS];
  uint16_t pulsing;
  bool due_now;
} now;

uint16_t visits_open(uint8_t kind) { return now.open[kind]; }
uint16_t visits_pulsing(void) { return now.pulsing; }
bool visits_due_now(void) { return now.due_now; }

/* Zones of the visit that are not closed. */
static uint16_t unclosed(const struct visit *visit) {
  uint16_t zones = visit->zones;
  for (uint8_t zone = 0; zone < TABLE_MAX_ZONES; zone++) {
    if (closed[visit->kind][zone] >= visit->day) zones = (uint16_t)(zones & ~(1u << zone));
  }
  return zones;
}

static uint16_t seen_since(uint16_t zones, uint16_t day) {
  for (uint8_t zone = 0; zone < TABLE_MAX_ZONES; zone++) {
    if (seen[zone] < day) zones = (uint16_t)(zones & ~(1u << zone));
  }
  return zones;
}

static void set_days(uint16_t *days, uint16_t zones, uint16_t day) {
  for (uint8_t zone = 0; zone < TABLE_MAX_ZONES; zone++) {
    if (zones & (1u << zone)) days[zone] = day;
  }
}

static void raise_days(uint16_t *days, uint16_t zones, uint16_t day) {
  for (uint8_t zone = 0; zone < TABLE_MAX_ZONES; zone++) {
    if ((zones & (1u << zone)) && days[zone] < day) days[zone] = day;
  }
}

/* The civil day now; worked out once a second at most. */
static uint16_t today(void) {
  static uint32_t at;
  static uint16_t day;
  static uint8_t slot = NO_SLOT;
  if (at != last_second() || slot != running_slot) {
    at = last_second();
    slot = running_slot;
    day = table_civil_day(&running, at);
  }
  return day;
}

/* What an outcome does to closed and seen days. */
static void note(uint8_t kind, uint8_t outcome, uint16_t zones, uint16_t due_day, uint16_t day) {
  bool harvest = kind == VISIT_KIND_HARVEST;
  if (outcome == LOG_VISIT_OUTCOME_SEEN) {
    set_days(seen, zones, day);
  } else if (outcome == LOG_VISIT_OUTCOME_UNDONE) {
    set_days(closed[kind], zones, harvest ? 0 : (uint16_t)(due_day - 1u));
    if (harvest) set_days(seen, zones, 0);
  } else {
    raise_days(closed[kind], zones, due_day);
  }
}

struct visit_record {
  uint32_t time;
  uint8_t kind;
  uint8_t outcome;
  uint16_t zones;
  int16_t late;
};

/* Reads record `sequence` if it is a visit's. */
static bool read_visit(uint32_t sequence, struct visit_record *visit) {
  uint8_t bytes[LOG_RECORD_BYTES];
  if (!log_read(sequence, bytes) || (bytes[3] & 0x3Fu) != LOG_RECORD_TYPE_VISIT) return false;
  visit->time = bytes[4] | ((uint32_t)bytes[5] << 8) | ((uint32_t)bytes[6] << 16) | ((uint32_t)bytes[7] << 24);
  visit->kind = bytes[8] & 7u;
  visit->outcome = (uint8_t)(bytes[8] >> 4);
  visit->zones = (uint16_t)(bytes[9] | (bytes[10] << 8));
  visit->late = (int16_t)(bytes[11] | (bytes[12] << 8));
  return visit->kind < VISIT_KINDS;
}

static uint32_t due_of(const struct visit_record *record) {
  return record->time - (uint32_t)((int32_t)record->late * 60);
}

void visits_rebuild(void) {
  struct visit_record record;
  for (uint8_t kind = 0; kind < VISIT_KINDS; kind++) set_days(closed[kind], 0xFFFFu, 0);
  set_days(seen, 0xFFFFu, 0);
  for (uint32_t sequence = log_oldest(); sequence != 0 && sequence <= log_newest(); sequence++) {
    if (!read_visit(sequence, &record)) continue;
    note(record.kind, record.outcome, record.zones, table_civil_day(&running, due_of(&record)),
         table_civil_day(&running, record.time));
  }
}

static int16_t minutes_late(uint32_t due) {
  int32_t seconds = (int32_t)(last_second() - due);
  int32_t minutes = seconds >= 0 ? seconds / 60 : -((59 - seconds) / 60);
  return (int16_t)(minutes > 32767 ? 32767 : minutes < -32768 ? -32768 : minutes);
}

static void write_visit(uint8_t kind, uint8_t outcome, uint16_t zones, uint32_t due) {
  struct record record;
  record_event(&record, LOG_RECORD_TYPE_VISIT);
  record_u8(&record, (uint8_t)(kind | (outcome << 4)));
  record_u16(&record, zones);
  record_u16(&record, (uint16_t)minutes_late(due));
  record_write(&record);
}

/* ---- which visits a question is about ---- */

enum question {
  ASK_MISSED,  /* windows that ended in (previous check, now] */
  ASK_PRESS,   /* open, and a harvest only while its reminder is on */
  ASK_LINK,    /* open */
  ASK_COMING   /* due within half their interval */
};

struct question_about {
  enum question ask;
  uint8_t kind;   /* VISIT_KINDS: all */
  uint16_t zones;
  uint32_t since; /* ASK_MISSED */
};

static bool is_open(const struct visit *visit) {
  return visit_due(visit) <= last_second() && last_second() < visit_end(visit);
}

/* A day on which the harvest reminds: each seventh, and the last three. */
static bool reminder_day(const struct visit *visit, uint16_t day) {
  if (day < visit->day || day > visit->last_day) return false;
  return (uint16_t)(day - visit->day) % 7u == 0 || visit->last_day - day < (int16_t)REMINDER_LAST_DAYS;
}

/* Zones of an open harvest whose reminder is on now. */
static uint16_t reminded(const struct visit *visit) {
  struct visit of_today = *visit;
  uint16_t day = today();
  if (!reminder_day(visit, day)) return 0;
  of_today.day = of_today.last_day = day;
  if (!is_open(&of_today)) return 0;
  return (uint16_t)(visit->zones & ~seen_since(visit->zones, day));
}

/* Zones of `visit` that the question is about, and the outcome of an answer. */
static uint16_t asked_zones(const struct question_about *about, const struct visit *visit, uint8_t *outcome) {
  uint16_t zones = (uint16_t)(unclosed(visit) & about->zones);
  bool harvest = visit->kind == VISIT_KIND_HARVEST;
  if (zones == 0 || (about->kind < VISIT_KINDS && visit->kind != about->kind)) return 0;
  uint32_t due = visit_due(visit);
  *outcome = LOG_VISIT_OUTCOME_DONE;
  if (about->ask == ASK_MISSED) {
    uint32_t end = visit_end(visit);
    *outcome = LOG_VISIT_OUTCOME_MISSED;
    return end > about->since && end <= last_second() ? zones : 0;
  }
  if (about->ask == ASK_COMING) {
    return due > last_second() && visit->half != 0 && due - last_second() <= visit->half ? zones : 0;
  }
  if (!is_open(visit)) return 0;
  if (!harvest) {
    if (last_second() - due >= LATE_AFTER) *outcome = LOG_VISIT_OUTCOME_LATE;
    return zones;
  }
  if (about->ask == ASK_LINK) return zones;
  if ((uint16_t)(visit->last_day - today()) >= REMINDER_LAST_DAYS) *outcome = LOG_VISIT_OUTCOME_SEEN;
  return (uint16_t)(zones & reminded(visit));
}

static void scan_for(const struct question_about *about, struct visit_scan *scan) {
  uint16_t day = today();
  if (about->ask == ASK_MISSED) {
    uint16_t from = table_civil_day(&running, about->since);
    visit_scan_start(scan, (uint16_t)(from - 1u), day);
  } else if (about->ask == ASK_COMING) {
    visit_scan_start(scan, day, (uint16_t)(day + 129u));
  } else {
    visit_scan_start(scan, (uint16_t)(day - 1u), day);
  }
}

/* Records are told apart by kind, due instant, outcome, in this order. */
struct visit_key {
  uint8_t kind;
  uint32_t due;
  uint8_t outcome;
};

static int8_t compare(const struct visit_key *one, const struct visit_key *other) {
  if (one->kind != other->kind) return one->kind < other->kind ? -1 : 1;
  if (one->due != other->due) return one->due < other->due ? -1 : 1;
  if (one->outcome != other->outcome) return one->outcome < other->outcome ? -1 : 1;
  return 0;
}

struct gathered {
  struct visit_key key;
  uint16_t zones;
  uint16_t day;
};

/* The first record after `after` (NULL: the very first); false: none. */
static bool gather_next(const struct question_about *about, const struct visit_key *after,
                        struct gathered *found) {
  struct visit_scan scan;
  struct visit visit;
  found->zones = 0;
  scan_for(about, &scan);
  while (visit_scan_next(&scan, &visit)) {
    struct visit_key key;
    uint16_t zones = asked_zones(about, &visit, &key.outcome);
    if (zones == 0) continue;
    key.kind = visit.kind;
    key.due = visit_due(&visit);
    if (after && compare(&key, after) <= 0) continue;
    int8_t order = found->zones == 0 ? -1 : compare(&key, &found->key);
    if (order > 0) continue;
    if (order < 0) found->zones = 0;
    found->key = key;
    found->zones = (uint16_t)(found->zones | zones);
    found->day = visit.day;
  }
  return found->zones != 0;
}

/* The earliest due instant of what the question is about; NEVER: nothing. */
static uint32_t earliest_due(const struct question_about *about) {
  struct visit_scan scan;
  struct visit visit;
  uint32_t earliest = NEVER;
  uint8_t outcome;
  scan_for(about, &scan);
  while (visit_scan_next(&scan, &visit)) {
    if (asked_zones(about, &visit, &outcome) == 0) continue;
    uint32_t due = visit_due(&visit);
    if (due < earliest) earliest = due;
  }
  return earliest;
}

static void answer(const struct gathered *found) {
  write_visit(found->key.kind, found->key.outcome, found->zones, found->key.due);
  note(found->key.kind, found->key.outcome, found->zones, found->day, today());
}

/* Answers everything the question is about; `due` NEVER: whatever its due instant. */
static bool answer_all(const struct question_about *about, uint32_t due) {
  struct gathered found;
  struct visit_key after;
  bool any = false;
  while (gather_next(about, any ? &after : 0, &found)) {
    after = found.key;
    any = true;
    if (due == NEVER || found.key.due == due) answer(&found);
  }
  return any;
}

static bool answer_coming(uint8_t kind, uint16_t zones) {
  struct question_about about = {ASK_COMING, kind, zones, 0};
  uint32_t due = earliest_due(&about);
  return due != NEVER && answer_all(&about, due);
}

void visits_press(void) {
  struct question_about about = {ASK_PRESS, VISIT_KINDS, 0xFFFFu, 0};
  if (!clock_known()) return;
  if (!answer_all(&about, NEVER)) answer_coming(VISIT_KINDS, 0xFFFFu);
  visits_refresh();
}

bool visits_answer(uint8_t kind, uint16_t zones) {
  struct question_about about = {ASK_LINK, kind, zones, 0};
  if (!clock_known()) return false;
  bool answered = answer_all(&about, NEVER) || answer_coming(kind, zones);
  visits_refresh();
  return answered;
}

bool visits_take_back(uint8_t kind, uint16_t zones) {
  struct visit_record record;
  uint32_t sequence = log_newest();
  if (!clock_known()) return false;
  for (; sequence != 0 && sequence >= log_oldest() && zones != 0; sequence--) {
    if (!read_visit(sequence, &record) || record.kind != kind || (record.zones & zones) == 0) continue;
    if (record.time + TAKE_BACK_SECONDS < last_second()) return false;
    uint16_t decided = (uint16_t)(record.zones & zones);
    if (record.outcome != LOG_VISIT_OUTCOME_MISSED && record.outcome != LOG_VISIT_OUTCOME_UNDONE) {
      uint32_t due = due_of(&record);
      write_visit(kind, LOG_VISIT_OUTCOME_UNDONE, decided, due);
      note(kind, LOG_VISIT_OUTCOME_UNDONE, decided, table_civil_day(&running, due), 0);
      visits_refresh();
      return true;
    }
    zones = (uint16_t)(zones & ~decided);
  }
  return false;
}

/* ---- windows that ended ---- */

static void write_passed(uint16_t count) {
  struct record record;
  if (count == 0) return;
  record_event(&record, LOG_RECORD_TYPE_VISITS_PASSED);
  record_u16(&record, count);
  record_write(&record);
}

/* Closes what was missed; with a record of each, or (`silent`) one that counts them. */
static void miss(const struct question_about *about, bool silent) {
  struct gathered found;
  struct visit_key after;
  bool any = false;
  uint16_t count = 0;
  while (gather_next(about, any ? &after : 0, &found)) {
    uint16_t answered = 0;
    after = found.key;
    any = true;
    if (found.key.kind == VISIT_KIND_HARVEST) answered = seen_since(found.zones, found.day);
    uint16_t missed = (uint16_t)(found.zones & ~answered);
    if (missed != 0 && silent) count++;
    if (missed != 0 && !silent) write_visit(found.key.kind, LOG_VISIT_OUTCOME_MISSED, missed, found.key.due);
    note(found.key.kind, LOG_VISIT_OUTCOME_MISSED, found.zones, found.day, 0);
  }
  write_passed(count);
}

/* No window can have ended in the last minute: the wall clock went on evenly and
 * reads neither midnight nor the end of visiting hours. Spares the walk. */
static bool quiet_minute(uint32_t since) {
  uint16_t minute = table_minute_of_day(&running, last_second());
  if (since + 60u != last_second() || minute == 0 || visiting_hours_end((uint16_t)(minute - 1u)) == minute) return false;
  return table_quarters(&running, since) == table_quarters(&running, last_second());
}

void visits_check(void) {
  struct question_about about = {ASK_MISSED, VISIT_KINDS, 0xFFFFu, kept.visits_checked};
  if (!clock_known()) return;
  if (visit_zones() != 0 && about.since != 0 && about.since < last_second() ) {
    miss(&about, last_second() - about.since > MOST_OUTAGE);
  }
  kept.visits_checked = last_second();
  kept_dirty = true;
}

static void open_nothing(void) {
  for (uint8_t kind = 0; kind < VISIT_KINDS; kind++) now.open[kind] = 0;
  now.pulsing = 0;
  now.due_now = false;
}

void visits_minute(void) {
  bool changed = visit_zones() != 0 && !quiet_minute(kept.visits_checked);
  if (changed) {
    visits_check();
  } else {
    kept.visits_checked = last_second();
    kept_dirty = true;
  }
  now.due_now = false;
  if (changed || visit_scan_minute(table_minute_of_day(&running, last_second()))) visits_refresh();
}

static void note_open(const struct visit *visit) {
  uint16_t zones = unclosed(visit);
  uint32_t due = visit_due(visit);
  if (zones == 0 || !is_open(visit)) return;
  now.open[visit->kind] = (uint16_t)(now.open[visit->kind] | zones);
  if (visit->kind == VISIT_KIND_HARVEST) {
    zones = (uint16_t)(zones & reminded(visit));
    due = table_first_second(&running, today(), visit->minute);
  }
  now.pulsing = (uint16_t)(now.pulsing | zones);
  if (zones != 0 && last_second() - due < 60u) now.due_now = true;
}

void visits_refresh(void) {
  struct visit_scan scan;
  struct visit visit;
  open_nothing();
  if (visit_zones() == 0 || !clock_known()) return;
  visit_scan_start(&scan, (uint16_t)(today() - 1u), today());
  while (visit_scan_next(&scan, &visit)) note_open(&visit);
}
