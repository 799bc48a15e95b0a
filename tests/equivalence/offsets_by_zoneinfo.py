"""Offsets from UTC by Python's zoneinfo, which reads the machine's own IANA data.

Standard input is a JSON list of {zone, from, until, step}: a name, and UTC seconds
from 2000-01-01; standard output, for each, the zone's offsets in quarter hours at
each step.
"""

import json
import sys
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo

EPOCH = datetime(2000, 1, 1, tzinfo=timezone.utc)


def quarters(zone, at):
    return (EPOCH + timedelta(seconds=at)).astimezone(ZoneInfo(zone)).utcoffset() / timedelta(minutes=15)


json.dump(
    [
        [quarters(asked["zone"], at) for at in range(asked["from"], asked["until"], asked["step"])]
        for asked in json.load(sys.stdin)
    ],
    sys.stdout,
)
