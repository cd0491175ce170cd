"""Wall clocks and instants, from Python's zoneinfo with the tzdata package.

Run: python zones.py   (writes zones.json beside this file)

The rule is RFC 5545 section 3.3.5: a wall time that the clock jumps over is taken with the offset
before the jump, one that it shows twice is the first. It is worked out here from the change-overs,
not from zoneinfo's `fold`; what `fold=0` gives (PEP 495) is compared with it.
"""
import json
import random
import zoneinfo
from datetime import datetime, timedelta, timezone
from pathlib import Path

import tzdata

# Only the package's data, never the machine's.
zoneinfo.reset_tzpath(to=[])

ZONES = [
    "Africa/Cairo",  # changes at midnight, none from 2015 to 2022
    "Africa/Casablanca",  # back an hour for Ramadan
    "America/Chicago",
    "America/Ciudad_Juarez",  # its own zone since 2022
    "America/Santiago",  # changes at midnight
    "America/St_Johns",  # half an hour off; changed at 00:01 until 2011
    "Asia/Kathmandu",  # a quarter of an hour off, no changes
    "Australia/Lord_Howe",  # changes by half an hour
    "Europe/London",
    "Pacific/Apia",  # had no 30 December 2011
]
FIRST, LAST = 2010, 2040
UTC = timezone.utc
EPOCH = datetime(1970, 1, 1)


def offset(zone, seconds):
    return int(datetime.fromtimestamp(seconds, UTC).astimezone(zone).utcoffset().total_seconds())


def changes(zone):
    """[instant, offset before, offset from then on], by halving the step in which the offset changed."""
    at = int(datetime(FIRST, 1, 1, tzinfo=UTC).timestamp())
    end = int(datetime(LAST + 1, 1, 1, tzinfo=UTC).timestamp())
    before = offset(zone, at)
    while at < end:
        after = offset(zone, at + 21600)
        if after != before:
            low, high = at, at + 21600
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (low, middle) if offset(zone, middle) != before else (middle, high)
            yield high, before, after
            before = after
        at += 21600


def resolve(zone, known, wall):
    """The instant of a wall time (seconds as if it were UTC), and whether the clock jumps over it or shows it twice."""
    for at, before, after in known:
        if at + before <= wall < at + after:
            return wall - before, "gap"
        if at + after <= wall < at + before:
            return wall - before, "fold"
    # Away from a change the offset is that of the last change before it.
    now = offset(zone, int(datetime(FIRST, 1, 1, tzinfo=UTC).timestamp()))
    for at, _, after in known:
        if wall >= at + after:
            now = after
    return wall - now, ""


def cases(name, rng):
    zone = zoneinfo.ZoneInfo(name)
    known = list(changes(zone))
    walls = set()
    for at, before, after in known:
        start, end = sorted((at + before, at + after))
        noon = at + after - (at + after) % 86400 + 43200
        walls |= {start - 60, start, (start + end) // 2, end - 1, end, noon}
    for year in range(FIRST, LAST + 1):
        for _ in range(4):
            day = datetime(year, 1, 1) + timedelta(days=rng.randrange(365), minutes=rng.randrange(1440))
            walls.add(int((day - EPOCH).total_seconds()))
    for wall in sorted(walls):
        clock = EPOCH + timedelta(seconds=wall)
        if not FIRST <= clock.year <= LAST:
            continue
        seconds, what = resolve(zone, known, wall)
        assert seconds == clock.replace(tzinfo=zone, fold=0).timestamp(), (name, clock)
        yield [clock.isoformat(), seconds] + ([what] if what else [])


def main():
    rng = random.Random(20270102)
    found = {name: list(cases(name, rng)) for name in ZONES}
    dump = lambda x: json.dumps(x, separators=(",", ":"))
    about = {
        "tzdb": "release of the IANA database in the tzdata package",
        "zones": "by zone: [wall time, seconds since 1970 in UTC, and gap or fold if it is in one]",
    }
    zones = ",\n".join(f"{dump(name)}:[\n" + ",\n".join(map(dump, rows)) + "\n]" for name, rows in found.items())
    Path(__file__).with_name("zones.json").write_text(
        f'{{"format":{dump(about)},\n"tzdb":{dump(tzdata.IANA_VERSION)},\n"zones":{{\n{zones}\n}}}}\n'
    )
    for name, rows in found.items():
        kinds = [row[2] if len(row) > 2 else "ordinary" for row in rows]
        print(name, {kind: kinds.count(kind) for kind in sorted(set(kinds))})
    print("tzdb", tzdata.IANA_VERSION)


if __name__ == "__main__":
    main()
