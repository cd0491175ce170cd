"""Working-day cases for the tests, from numpy's business days and the `holidays` package.

Run: python working_days.py   (writes working_days.json beside this file)
plans.py imports WorkingDays from here.
"""
import json
import random
from datetime import date, timedelta
from pathlib import Path

import holidays
import numpy as np

FIRST, LAST = date(1990, 1, 1), date(2050, 12, 31)
EPOCH = date(1970, 1, 1)


def num(d):
    """Days since 1970-01-01."""
    return (d - EPOCH).days


def iso(n):
    return (EPOCH + timedelta(days=n)).isoformat()


def federal_holidays():
    """{day number: name} of the days on which a federal holiday closes offices, 1990-2050.

    The package lists a weekend holiday twice: on its own day and, as "X (observed)", on the
    Friday before or the Monday after. Only the weekday counts, so weekend entries are dropped.
    2051 is generated too: a Saturday 1 January is observed on 31 December of the year before.
    """
    listed = holidays.US(years=range(1989, 2052), observed=True)
    return {
        num(d): name.removesuffix(" (observed)")
        for d, name in sorted(listed.items())
        if FIRST <= d <= LAST and d.weekday() < 5
    }


FEDERAL = federal_holidays()


class WorkingDays:
    """Day arithmetic on day numbers; every answer comes from numpy."""

    def __init__(self, closed=()):
        days = sorted(set(FEDERAL) | set(closed))
        self.cal = np.busdaycalendar(weekmask="1111100", holidays=np.array(days, "datetime64[D]"))

    def _offset(self, d, n, roll):
        return int(np.busday_offset(np.datetime64(d, "D"), n, roll, busdaycal=self.cal).astype(int))

    def is_working(self, d):
        return bool(np.is_busday(np.datetime64(d, "D"), busdaycal=self.cal))

    def back(self, d):
        return self._offset(d, 0, "backward")

    def fwd(self, d):
        return self._offset(d, 0, "forward")

    # Rolling first *away* from the direction of travel makes the count strict: a Saturday
    # rolled forward to Monday, then one back, is Friday, the first working day before it.
    def before(self, d, n):
        return self._offset(d, -n, "forward") if n > 0 else self.back(d)

    def after(self, d, n):
        return self._offset(d, n, "backward") if n > 0 else self.fwd(d)

    def nth_from(self, d, n):
        """The n-th working day (n >= 1) counting from d inclusive."""
        return self._offset(d, n - 1, "forward")

    def nth_back_from(self, d, n):
        """The n-th working day (n >= 1) counting backwards from d inclusive."""
        return self._offset(d, 1 - n, "backward")

    def count(self, a, b):
        return int(np.busday_count(np.datetime64(a, "D"), np.datetime64(b, "D"), busdaycal=self.cal))

    def rank(self, d):
        """Working days before d, from an origin earlier than any date used."""
        return self.count(0, d)


def closed_sets(rng):
    """Department closed days: none; bridge days; a yearly day with some furloughs; a mess."""
    after_thanksgiving = [d + 1 for d, name in FEDERAL.items() if name == "Thanksgiving Day"]
    bridges = after_thanksgiving + [num(date(y, 12, 24)) for y in range(1990, 2051)]
    furlough = [num(date(y, 3, 31)) for y in range(1995, 2051)]
    for y in (1995, 2013, 2018, 2026, 2027, 2030, 2041):
        start = num(date(y, rng.randrange(2, 12), rng.randrange(1, 28)))
        furlough += range(start, start + rng.randrange(5, 25))
    # Closed days that fall on weekends and on holidays must change nothing.
    mess = rng.sample(range(num(FIRST), num(LAST)), 300) + rng.sample(sorted(FEDERAL), 40)
    mess += [num(FIRST), num(FIRST) + 1, num(LAST) - 1, num(LAST)]
    return [[], sorted(set(bridges)), sorted(set(furlough)), sorted(set(mess))]


def main():
    rng = random.Random(20260301)
    lo, hi = num(FIRST), num(LAST)
    sets = closed_sets(rng)
    wds = [WorkingDays(s) for s in sets]
    special = [sorted(set(FEDERAL) | set(s)) for s in sets]

    def some_date(k):
        """Half near a holiday or closed day, where mistakes live; some at the turn of a year."""
        kind = rng.random()
        if kind < 0.5:
            d = rng.choice(special[k]) + rng.randint(-5, 5)
        elif kind < 0.6:
            d = num(date(rng.randint(1990, 2050), 12, 31)) + rng.randint(-4, 4)
        else:
            d = rng.randint(lo, hi)
        return min(max(d, lo), hi)

    def some_n():
        kind = rng.random()
        if kind < 0.1:
            return 0
        if kind < 0.75:
            return rng.randint(1, 15)
        return rng.randint(16, 90) if kind < 0.9 else rng.randint(91, 400)

    cases, seen = [], set()

    def add(k, fn, args, result):
        key = (k, fn, *args)
        if key not in seen:
            seen.add(key)
            cases.append([k, fn, *args, result])
            return True
        return False

    quota = {"before": 2000, "after": 2000, "count": 1500, "is_working": 1000}
    for fn, wanted in quota.items():
        while wanted:
            k = rng.choice([0, 0, 1, 2, 3])
            d, wd = some_date(k), wds[k]
            if fn in ("before", "after"):
                n = some_n()
                r = getattr(wd, fn)(d, n)
                # A result outside 1990-2050 would rest on holidays that are not listed.
                if not lo <= r <= hi:
                    continue
                wanted -= add(k, fn, (iso(d), n), iso(r))
            elif fn == "count":
                kind = rng.random()
                span = 10 if kind < 0.3 else 400 if kind < 0.85 else hi - lo
                e = min(max(d + rng.randint(-span, span), lo), hi)
                wanted -= add(k, fn, (iso(d), iso(e)), wd.count(d, e))
            else:
                wanted -= add(k, fn, (iso(d),), wd.is_working(d))
    # Every federal holiday closes its observed day, and no weekend day is working.
    assert not any(wds[0].is_working(d) for d in FEDERAL)
    check_observed_rule()

    dump = lambda x: json.dumps(x, separators=(",", ":"))
    fmt = {
        "holidays": "[observed date, name], every federal holiday observed 1990-2050",
        "closed_sets": "extra closed days; a case names its set by index",
        "cases": "[closed set, function, arguments..., result]",
        "before": "before(d,n): n-th working day strictly before d; n=0: d or the nearest before",
        "after": "after(d,n): n-th working day strictly after d; n=0: d or the nearest after",
        "count": "count(a,b): a<=b: working days in [a,b); b<a: minus those in (b,a] (numpy busday_count)",
        "is_working": "is_working(d)",
    }
    lines = ",\n".join
    Path(__file__).with_name("working_days.json").write_text(
        '{"format":' + dump(fmt)
        + ',\n"holidays":[\n' + lines(dump([iso(d), n]) for d, n in FEDERAL.items())
        + '\n],\n"closed_sets":[\n' + lines(dump([iso(d) for d in s]) for s in sets)
        + '\n],\n"cases":[\n' + lines(map(dump, cases)) + "\n]}\n"
    )
    print(len(FEDERAL), "holidays;", len(cases), "cases", quota)
    counts = [c for c in cases if c[1] == "count"]
    print("negative counts:", sum(c[-1] < 0 for c in counts), "of", len(counts))
    print("n=0:", sum(c[1] in ("before", "after") and c[3] == 0 for c in cases),
          "with closed days:", sum(c[0] > 0 for c in cases))


def check_observed_rule():
    """The year boundary and both weekend cases, spelled out."""
    for day, open_ in {
        "1999-12-31": False,  # 1 Jan 2000 is a Saturday
        "2010-12-31": False,
        "2021-12-31": False,
        "2023-01-02": False,  # 1 Jan 2023 is a Sunday
        "2020-07-03": False,  # 4 Jul 2020 is a Saturday
        "2020-06-19": True,  # Juneteenth is a holiday from 2021
        "2021-06-18": False,
    }.items():
        assert WorkingDays().is_working(num(date.fromisoformat(day))) is open_, day


if __name__ == "__main__":
    main()
