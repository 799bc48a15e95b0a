"""A second reader of schedule tables, written from shared/table-format.md alone.

It shares no code with the TypeScript and C readers. Standard input is a JSON
list of {"table": hex, "from": second, "until": second}; standard output a JSON
list of {"ok": bool} and, for tables, "changes": [[UTC second, sixteen hex
digits], ...], the first entry being the state at "from". Where the document is
not enough to decide something, the document is at fault, not this file.
"""

import json
import sys
import zlib

DAY = 86400
DARK = 63


class NoTable(Exception):
    """Bytes that a reader refuses."""


def check(condition):
    if not condition:
        raise NoTable


class Body:
    """Reads little-endian numbers from bytes; running out of bytes is a refusal."""

    def __init__(self, data):
        self.data = data
        self.at = 0

    def unsigned(self, size):
        check(self.at + size <= len(self.data))
        value = int.from_bytes(self.data[self.at:self.at + size], "little")
        self.at += size
        return value

    def signed(self, size):
        value = self.unsigned(size)
        return value - (1 << 8 * size) if value >= 1 << (8 * size - 1) else value

    def more(self):
        return self.at < len(self.data)


def read_table(data):
    check(15 <= len(data) <= 440)
    check(data[0] == 0x4C and data[1] == 0x57 and data[2] == 1)
    check(int.from_bytes(data[3:5], "little") == len(data))
    check(int.from_bytes(data[-4:], "little") == zlib.crc32(data[:-4]))
    table = {
        "base": int.from_bytes(data[5:7], "little"),
        "offsets": (0, []),
        "patterns": [],
        "tracks": [],
        "bindings": [],
    }
    bodies = read_sections(Body(data[11:-4]))
    for tag in sorted(bodies):
        READERS[tag](Body(bodies[tag]), table)
    return table


def read_sections(frame):
    bodies = {}
    before = 0
    while frame.more():
        head = frame.unsigned(2)
        tag, length = head >> 12, head & 0xFFF
        check(before < tag <= 8 and length >= 1)
        check(frame.at + length <= len(frame.data))
        bodies[tag] = frame.data[frame.at:frame.at + length]
        frame.at += length
        before = tag
    return bodies


def read_offsets(body, table):
    first = body.signed(1)
    changes = []
    while body.more():
        minute = body.unsigned(3)
        check(not changes or minute > changes[-1][0])
        changes.append((minute, body.signed(1)))
    table["offsets"] = (first, changes)


def read_patterns(body, table):
    while body.more():
        head = body.unsigned(2)
        start = head & 0x7FF
        check(start < 1440)
        segments = []
        for _ in range((head >> 11 & 15) + 1):
            word = body.unsigned(2)
            length, level = word & 0x7FF, word >> 11
            check(1 <= length <= 1440 and level <= 16)
            segments.append((length, level))
        check(sum(length for length, _ in segments) <= 1440)
        table["patterns"].append((start, head >> 15 == 1, segments))
    check(len(table["patterns"]) <= 63)


def read_tracks(body, table):
    known = len(table["patterns"])

    def pattern(number):
        check(number == DARK or number < known)
        return number

    while body.more():
        days = []
        last = False
        while not last:
            head = body.unsigned(1)
            last = head & 0x80 != 0
            count = body.unsigned(1)
            check(count >= 1)
            if head & 0x40:
                sides = head & 0x3F
                period = body.unsigned(1)
                check(2 <= sides <= 62 and period >= 1)
                turn = [pattern(body.unsigned(1)) for _ in range(sides)]
                days += [turn[k // period % sides] for k in range(count)]
            else:
                days += [pattern(head & 0x3F)] * count
        table["tracks"].append(days)


def read_bindings(body, table):
    while body.more():
        outputs = body.unsigned(1)
        track = body.unsigned(1)
        word = body.unsigned(2)
        steady = body.signed(1) if word & 0x8000 else None
        check(outputs != 0 and track < len(table["tracks"]))
        table["bindings"].append((outputs, table["tracks"][track], word & 0x7FFF, steady))


def read_four_bytes(body, _table):
    check(len(body.data) == 4)


def read_visits(body, _table):
    zones = body.unsigned(1)
    check(1 <= zones <= 16)
    while body.more():
        head = body.unsigned(1)
        for _ in range((head >> 4) + 1):
            read_entry(body)
        for _ in range((head & 15) + 1):
            body.unsigned(2)
            mask = body.unsigned(1 if zones <= 8 else 2)
            check(0 < mask < 1 << zones)


def read_entry(body):
    head = body.unsigned(2)
    kind, form = head >> 11 & 7, head >> 14
    check(head & 0x7FF < 1440 and kind <= 3)
    check((kind == 3) == (form == 3))
    body.unsigned(1)
    if form == 0:
        check(body.unsigned(1) >= 1)
        check(body.unsigned(1) >= 1)
    elif form == 1:
        check(1 <= body.unsigned(1) <= 127)
        check(body.unsigned(1) >= 1)
    elif form == 3:
        check(body.unsigned(1) >= 1)


def read_pulse(body, _table):
    check(body.unsigned(1) < 4)
    before = 0
    while body.more():
        begin, end = body.unsigned(2), body.unsigned(2)
        check(before <= begin < end <= 1440)
        before = end


READERS = {
    1: read_offsets,
    2: read_patterns,
    3: read_tracks,
    4: read_bindings,
    5: read_four_bytes,
    6: read_visits,
    7: read_pulse,
    8: read_four_bytes,
}


class Clock:
    """A binding's clock: the wall clock of section 1, or a fixed offset. Seconds count from day 0, 00:00 UTC."""

    def __init__(self, table, steady):
        first, changes = table["offsets"] if steady is None else (steady, [])
        self.segments = []
        begin = float("-inf")
        for minute, quarters in changes:
            self.segments.append((first, begin, minute))
            first, begin = quarters, minute
        self.segments.append((first, begin, float("inf")))

    def first_reading(self, day, minute):
        local = 1440 * day + minute
        for quarters, begin, end in self.segments:
            instant = local - 15 * quarters
            if instant < end:
                return 60 * max(instant, begin)
        raise AssertionError("the last segment has no end")

    def day_shown(self, second):
        for quarters, _begin, end in self.segments:
            if second < 60 * end:
                return (second + 900 * quarters) // DAY
        raise AssertionError("the last segment has no end")

    def changes(self):
        return [60 * end for _, _, end in self.segments if end != float("inf")]


def binding_level(table, binding, clock, second):
    _, track, first_day, _ = binding
    today = clock.day_shown(second)
    for day in (today + 1, today, today - 1, today - 2):
        place = day - first_day
        number = track[place] if 0 <= place < len(track) else DARK
        if number == DARK:
            continue
        start, continuous, segments = table["patterns"][number]
        begin = clock.first_reading(day, start)
        if second < begin:
            continue
        if continuous and second >= clock.first_reading(day + 1, start):
            continue
        passed = (second - begin) // 60
        for length, level in segments:
            if passed < length:
                return level
            passed -= length
        return segments[-1][1] if continuous else 0
    return 0


def edges(table, binding, clock):
    """Every second at which the binding's level might change."""
    _, track, first_day, _ = binding
    found = set(clock.changes())
    for place, number in enumerate(track):
        day = first_day + place
        found.add(clock.first_reading(day, 0))
        if number == DARK:
            continue
        start, _, segments = table["patterns"][number]
        at = clock.first_reading(day, start)
        found.add(at)
        found.add(clock.first_reading(day + 1, start))
        for length, _ in segments:
            at += 60 * length
            found.add(at)
    for extra in range(4):
        found.add(clock.first_reading(first_day + len(track) + extra, 0))
    return found


def output_changes(table, output, begin, end):
    """[second, level] of an output, lag included, from `begin` on (seconds from day 0)."""
    lag = output - 1
    own = [(binding, Clock(table, binding[3])) for binding in table["bindings"] if binding[0] >> lag & 1]
    seconds = {begin - lag}
    for binding, clock in own:
        seconds |= edges(table, binding, clock)
    changes = []
    for second in sorted(one for one in seconds if begin <= one + lag < end):
        level = max((binding_level(table, binding, clock, second) for binding, clock in own), default=0)
        if not changes or changes[-1][1] != level:
            changes.append((second + lag, level))
    return changes


def trace(table, begin, end):
    base = table["base"] * DAY
    by_second = {}
    for output in range(1, 9):
        for second, level in output_changes(table, output, begin - base, end - base):
            by_second.setdefault(second, {})[output] = (255 * level + 8) // 16
    shown = [0] * 8
    lines = []
    for second in sorted(by_second):
        for output, byte in by_second[second].items():
            shown[output - 1] = byte
        lines.append([second + base, bytes(shown).hex()])
    return lines


def answer(question):
    try:
        table = read_table(bytes.fromhex(question["table"]))
    except NoTable:
        return {"ok": False}
    if "from" not in question:
        return {"ok": True}
    return {"ok": True, "changes": trace(table, question["from"], question["until"])}


json.dump([answer(question) for question in json.load(sys.stdin)], sys.stdout)
