"""The light that a plan asks for, worked out from the written law alone.

The law is README's "What a day is", with Python's own zoneinfo for the place's
clock. It knows nothing of tables, blocks or the compiler. Standard input is a
JSON list of plans (tests/equivalence/law.test.ts says how one looks), standard
output a JSON list of, for each output, its lit stretches [from, until) in UTC
seconds from 2000-01-01.
"""

import json
import sys
from datetime import date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

EPOCH = datetime(2000, 1, 1, tzinfo=timezone.utc)
DAY = 1440


def seconds(instant):
    return round((instant - EPOCH).total_seconds())


def offset_at(zone, instant):
    return instant.astimezone(zone).utcoffset()


def first_reading(zone, day, minute):
    """The first instant at which the clock of a place reads a minute; a skipped minute is the change itself."""
    wall = datetime(day.year, day.month, day.day) + timedelta(minutes=minute)
    instant = wall.replace(tzinfo=zone, fold=0).astimezone(timezone.utc)
    if instant.astimezone(zone).replace(tzinfo=None) == wall:
        return instant
    low, high = instant - timedelta(hours=4), instant
    before = offset_at(zone, low)
    while high - low > timedelta(minutes=1):
        middle = low + timedelta(minutes=(high - low) // timedelta(minutes=2))
        if offset_at(zone, middle) == before:
            low = middle
        else:
            high = middle
    return high


class PlaceClock:
    """A photoperiod's clock: the place's, or the offset that the place had when the batch was sealed."""

    def __init__(self, plan, sealed):
        self.zone = ZoneInfo(plan["timezone"])
        self.fixed = offset_at(self.zone, first_reading(self.zone, sealed, 0)) if plan["steady"] else None

    def reads(self, day, minute):
        if self.fixed is None:
            return first_reading(self.zone, day, minute)
        wall = datetime(day.year, day.month, day.day, tzinfo=timezone.utc) + timedelta(minutes=minute)
        return wall - self.fixed


def photoperiods(plan, batch):
    """(day, start, end, sides) of every photoperiod of a batch, before anything yields."""
    sealed = date.fromisoformat(batch["sealed"])
    clock = PlaceClock(plan, sealed)
    ended = date.fromisoformat(batch["ended"]) if batch["ended"] else None
    stage_day = sealed
    for place, stage in enumerate(batch["stages"]):
        if stage["began"]:
            stage_day = date.fromisoformat(stage["began"])
        after = stage_day + timedelta(days=stage["days"])
        if place + 1 < len(batch["stages"]) and batch["stages"][place + 1]["began"]:
            after = date.fromisoformat(batch["stages"][place + 1]["began"])
        if place >= batch["enters"] and stage["minutes"]:
            for n in range((after - stage_day).days):
                day = stage_day + timedelta(days=n)
                if ended and day >= ended:
                    continue
                start = clock.reads(day, stage["start"])
                if stage["minutes"] == DAY:
                    end = clock.reads(day + timedelta(days=1), stage["start"])
                else:
                    end = start + timedelta(minutes=stage["minutes"])
                side = stage["sides"][n // stage["every"] % len(stage["sides"])]
                yield day, start, end, side
        stage_day = after


def zone_light(plan, name):
    """A zone's light: the later day's photoperiod begins on time, and the earlier day's ends there."""
    wanted = sorted(
        one for batch in plan["batches"] if batch["zone"] == name for one in photoperiods(plan, batch)
    )
    for place, (_, start, end, side) in enumerate(wanted):
        until = min([end] + [later for _, later, _, _ in wanted[place + 1:]])
        if start < until:
            yield start, until, side


def light(plan):
    outputs = [[] for _ in range(8)]
    for place, name in enumerate(plan["zones"]):
        for start, until, side in zone_light(plan, name):
            for lamp, word in enumerate(("left", "right")):
                if side in (word, "upright"):
                    number = 2 * place + lamp
                    outputs[number].append([seconds(start) + number, seconds(until) + number])
    return [joined(sorted(one)) for one in outputs]


def joined(stretches):
    result = []
    for start, until in stretches:
        if result and start <= result[-1][1]:
            result[-1][1] = max(until, result[-1][1])
        else:
            result.append([start, until])
    return result


json.dump([light(plan) for plan in json.load(sys.stdin)], sys.stdout)
