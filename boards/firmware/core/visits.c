#include "visits.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "civil.h"
#include "clock.h"
#include "log.h"
#include "state.h"

#define LATE_AFTER LAW_LATE_SECONDS
#define MOST_OUTAGE LAW_VISITS_PASSED_SECONDS
#define TAKE_BACK_SECONDS LAW_TAKE_BACK_SECONDS
#define REMINDER_LAST_DAYS LAW_REMINDER_LAST_DAYS
#define LATE_MOST ((uint32_t)0x8000u)

/* Rows of `days`: of each kind the closed days, then the days on which harvests were seen. */
#define SEEN VISIT_KINDS
#define ROWS (VISIT_KINDS + 1)

/* Zone by zone, a row's own at each; 0: none. */
static uint16_t days[TABLE_MAX_ZONES * ROWS];

static struct {
  uint16_t open[VISIT_KINDS];
  uint16_t pulsing;
  bool due_now;
  uint16_t day;    /* of the previous check: after it nothing becomes due and no window */
  uint16_t change; /* ends before this minute of that day */
} now;

bool visits_news;
uint16_t visits_open(uint8_t kind) { return now.open[kind]; }
uint16_t visits_pulsing(void) { return now.pulsing; }
bool visits_due_now(void) { return now.due_now; }

/* Those of `zones` whose day in `row` is before `day`. */
APART static uint16_t zones_before(uint8_t row, uint16_t zones, uint16_t day) {
  const uint16_t *own = days + row;
  uint16_t bit = 1;
  for (uint16_t left = zones; left != 0; left = (uint16_t)(left >> 1)) {
    if (*own >= day) zones = (uint16_t)(zones & ~bit);
    bit = (uint16_t)(bit << 1);
    own += ROWS;
  }
  return zones;
}

uint16_t visits_closed(uint8_t kind, uint16_t zones) {
  const uint16_t *own = days + kind;
  uint16_t closed = 0xFFFFu;
  for (; zones != 0; zones = (uint16_t)(zones >> 1)) {
    if ((zones & 1u) && *own < closed) closed = *own;
    own += ROWS;
  }
  return closed;
}

APART static void set_days(uint8_t row, uint16_t zones, uint16_t day) {
  uint16_t *own = days + row;
  for (; zones != 0; zones = (uint16_t)(zones >> 1)) {
    if (zones & 1u) *own = day;
    own += ROWS;
  }
}

static uint16_t today(void) { return table_civil_day(&running, last_second()); }

/* What an outcome does to closed and seen days; `day`: due, but for *seen* the day of the answer. */
APART static void note(uint8_t kind, uint8_t outcome, uint16_t zones, uint16_t day) {
  if (outcome == LOG_VISIT_OUTCOME_SEEN) {
    kind = SEEN;
  } else if (outcome == LOG_VISIT_OUTCOME_UNDONE) {
    day = (uint16_t)(day - 1u);
    if (kind == VISIT_KIND_HARVEST) {
      day = 0;
      set_days(SEEN, zones, day);
    }
  } else {
    zones = zones_before(kind, zones, day);
  }
  set_days(kind, zones, day);
}

/* ---- records ---- */

struct visit_record {
  uint32_t time;
  uint32_t due;
  uint16_t day; /* for note */
  uint16_t zones;
  uint8_t kind;
  uint8_t outcome;
};

/* Reads the newest record but `age` if it is a visit's. */
APART static bool read_visit(uint8_t age, struct visit_record *visit) {
  uint8_t bytes[LOG_RECORD_BYTES];
  if (!log_read_back(age, bytes) || (bytes[3] & 0x3Fu) != LOG_RECORD_TYPE_VISIT) return false;
  uint32_t time =
      bytes[4] | ((uint32_t)bytes[5] << 8) | ((uint32_t)bytes[6] << 16) | ((uint32_t)bytes[7] << 24);
  uint32_t due = time - (uint32_t)((int32_t)(int16_t)(bytes[11] | (bytes[12] << 8)) * 60);
  visit->time = time;
  visit->due = due;
  visit->kind = bytes[8] & 7u;
  visit->outcome = (uint8_t)(bytes[8] >> 4);
  visit->zones = (uint16_t)(bytes[9] | (bytes[10] << 8));
  visit->day = table_civil_day(&running, visit->outcome == LOG_VISIT_OUTCOME_SEEN ? time : due);
  return visit->kind < VISIT_KINDS;
}

void visits_rebuild(void) {
  struct visit_record record;
  for (uint8_t at = 0; at < TABLE_MAX_ZONES * ROWS; at++) days[at] = 0;
  for (uint8_t age = LOG_RING_RECORDS; age-- > 0;) {
    if (read_visit(age, &record)) note(record.kind, record.outcome, record.zones, record.day);
  }
}

/* Whole minutes since `due`, rounded down and kept within an i16. */
static uint16_t minutes_late(uint32_t due) {
  int32_t seconds = (int32_t)(last_second() - due + LATE_MOST * 60u);
  uint32_t minutes = seconds < 0 ? 0 : (uint32_t)seconds / 60u;
  if (minutes > 0xFFFFu) minutes = 0xFFFFu;
  return (uint16_t)(minutes - LATE_MOST);
}

static void write_visit(uint8_t kind, uint8_t outcome, uint16_t zones, uint32_t due) {
  uint16_t late = minutes_late(due);
  uint8_t how = (uint8_t)(kind | (outcome << 4));
  log_event(LOG_RECORD_TYPE_VISIT, (uint16_t)(how | (zones << 8)),
            (uint16_t)((zones >> 8) | (late << 8)), late >> 8);
}

/* ---- which visits a question is about ---- */

/* A walk, and what it found: the visits that make the first of the records. */
struct look {
  struct scan scan; /* stands first, so that visit_found gets here from it */
  uint16_t asked;   /* zones */

  uint32_t visit_due; /* of the visit walked to: due second, and the outcome */
  uint8_t visit_outcome;

  uint8_t rank; /* records come in the order of rank, then key */
  uint32_t key; /* the due second, its lowest two bits the outcome (of coming visits the kind) */
  uint8_t kind;
  uint8_t outcome;
  uint16_t zones; /* 0: none found */
  uint16_t day;   /* due */

  bool silent; /* records are counted, not written */
  uint16_t count;
};

/* Walks; false: the question is about no visit. */
APART static bool find(struct look *look) {
  look->zones = 0;
  look->rank = 0xFFu;
  visit_scan(&look->scan);
  return look->zones != 0;
}

/* Zones of an open harvest that remind now; finds the outcome a press has. */
APART static uint16_t reminding(struct look *look, uint16_t zones) {
  const struct scan *scan = &look->scan;
  uint16_t day = today();
  uint8_t gone = (uint8_t)(day - scan->day);
  if (scan->now.day != day || scan->now.minute < scan->minute || scan->now.minute >= scan->until) return 0;
  if (gone + REMINDER_LAST_DAYS <= scan->more_days) {
    look->visit_outcome = LOG_VISIT_OUTCOME_SEEN;
    if (gone % LAW_REMINDER_DAYS != 0) return 0;
  }
  return zones_before(SEEN, zones, day);
}

/* Zones of the visit walked to that the question is about; finds its due second and outcome. */
APART static uint16_t asked_zones(struct look *look) {
  const struct scan *scan = &look->scan;
  uint8_t kind = scan->visit_kind;
  uint16_t zones = zones_before(kind, scan->zones & look->asked, scan->day);
  if (zones == 0 || (scan->kind != VISIT_KINDS && scan->kind != kind)) return 0;
  look->visit_due = table_first_second(&running, scan->day, scan->minute);
  uint32_t late = last_second() - look->visit_due;
  if (scan->question == ASK_COMING) {
    return kind == VISIT_KIND_HARVEST || !visit_early(scan, 0u - late) ? 0 : zones;
  }
  if (scan->question == ASK_MISSED) {
    look->visit_outcome = LOG_VISIT_OUTCOME_MISSED;
    return zones;
  }
  now.open[kind] |= zones;
  if (kind != VISIT_KIND_HARVEST) {
    if (late >= LATE_AFTER) look->visit_outcome = LOG_VISIT_OUTCOME_LATE;
  } else if (scan->question != ASK_LINK) {
    zones = reminding(look, zones);
  }
  if (zones != 0 && scan->fresh) now.due_now = true;
  now.pulsing |= zones;
  return zones;
}

/* Keeps the visit walked to if it belongs to the first record, or makes an earlier one. */
APART bool visit_found(struct scan *scan) {
  struct look *look = (struct look *)scan;
  look->visit_outcome = LOG_VISIT_OUTCOME_DONE;
  uint16_t zones = asked_zones(look);
  if (zones == 0) return false;
  uint8_t rank = scan->visit_kind;
  /* Due seconds are whole minutes, so their low bits are free. */
  uint32_t key = look->visit_due | look->visit_outcome;
  if (scan->question == ASK_COMING) { /* the earliest of all kinds; done, whose number is 0 */
    key |= rank;
    rank = 0;
  }
  bool first = scan->question != ASK_OPEN; /* days ascend, and with them the keys */
  if (rank > look->rank || (rank == look->rank && key > look->key)) return first;
  if (rank != look->rank || key != look->key) look->zones = 0;
  look->rank = rank;
  look->key = key;
  look->kind = scan->visit_kind;
  look->outcome = look->visit_outcome;
  look->zones |= zones;
  look->day = scan->day;
  return first;
}

/* Logs the record found (or counts it) and closes its visits; a harvest seen before makes none. */
APART static void conclude(struct look *look) {
  hal_working(); /* after a long outage there are many */
  uint16_t zones = look->zones;
  uint16_t day = look->outcome == LOG_VISIT_OUTCOME_SEEN ? look->scan.now.day : look->day;
  if (look->outcome == LOG_VISIT_OUTCOME_MISSED && look->kind == VISIT_KIND_HARVEST) {
    zones = zones_before(SEEN, zones, day);
  }
  if (zones != 0) {
    look->count++;
    if (!look->silent) write_visit(look->kind, look->outcome, zones, look->key & ~(uint32_t)3u);
  }
  note(look->kind, look->outcome, look->zones, day);
}

/*
 * Does what there is to do about a question: ASK_OPEN finds what is open, the
 * others conclude the visits they are about, ASK_PRESS and ASK_LINK the coming
 * ones if none is open. False: nothing; of ASK_MISSED, that nothing can have
 * ended or become due since the previous check.
 */
APART static bool settle(enum question question, uint8_t kind, uint16_t zones) {
  struct look look;
  uint32_t last_key = 0xFFFFFFFFu;
  uint32_t since = kept.visits_checked;
  if (!clock_known()) return false;
  look.scan.question = question;
  look.scan.kind = kind;
  look.asked = zones;
  look.silent = false;
  look.count = 0;
  table_reached(&running, last_second(), &look.scan.now);
  if (question != ASK_MISSED) {
    since = last_second() - 60u;
  } else {
    const struct moment *reached = &look.scan.now;
    if (!reached->past && reached->day == now.day && reached->minute < now.change) return false;
    if (since == 0) return true;
    look.silent = last_second() - since > MOST_OUTAGE;
  }
  table_reached(&running, since, &look.scan.before);
  bool found = find(&look);
  if (question == ASK_OPEN) {
    now.day = look.scan.now.day;
    now.change = look.scan.next;
    return found;
  }
  if (!found && question != ASK_MISSED) {
    look.scan.question = ASK_COMING;
    found = find(&look);
    last_key = look.key | 3u;
    if (!found) return false;
  }
  /* What is concluded is asked about no more, so that each walk finds the next record. */
  for (; found && look.key <= last_key; found = find(&look)) conclude(&look);
  if (look.silent && look.count != 0) log_event(LOG_RECORD_TYPE_VISITS_PASSED, look.count, 0, 0);
  return true;
}

void visits_press(void) {
  settle(ASK_PRESS, VISIT_KINDS, 0xFFFFu);
  visits_refresh();
}

bool visits_answer(uint8_t kind, uint16_t zones) {
  bool answered = settle(ASK_LINK, kind, zones);
  visits_refresh();
  return answered;
}

bool visits_take_back(uint8_t kind, uint16_t zones) {
  struct visit_record record;
  if (!clock_known()) return false;
  for (uint8_t age = 0; age < LOG_RING_RECORDS; age++) {
    if (!read_visit(age, &record) || record.kind != kind) continue;
    if (record.time + TAKE_BACK_SECONDS < last_second()) return false;
    uint16_t decided = record.zones & zones;
    zones = (uint16_t)(zones & ~decided);
    if (decided == 0 || record.outcome == LOG_VISIT_OUTCOME_MISSED) continue;
    if (record.outcome == LOG_VISIT_OUTCOME_UNDONE) continue;
    write_visit(kind, LOG_VISIT_OUTCOME_UNDONE, decided, record.due);
    note(kind, LOG_VISIT_OUTCOME_UNDONE, decided, record.day);
    visits_refresh();
    return true;
  }
  return false;
}

/* ---- minute by minute ---- */

static void find_open(void) {
  for (uint8_t kind = 0; kind < VISIT_KINDS; kind++) now.open[kind] = 0;
  now.pulsing = 0;
  now.due_now = false;
  visits_news = true;
  settle(ASK_OPEN, VISIT_KINDS, 0xFFFFu);
}

void visits_check(void) {
  if (!clock_known()) return;
  bool looked = settle(ASK_MISSED, VISIT_KINDS, 0xFFFFu);
  kept.visits_checked = last_second();
  kept_dirty = true;
  now.due_now = false;
  visits_news = true;
  if (looked) find_open();
}

void visits_refresh(void) {
  find_open();
  now.change = 0; /* windows may have ended that the next check has to see */
}
