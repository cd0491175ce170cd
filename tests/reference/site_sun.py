"""Where the sun is and when it sets, by pvlib's implementation of NREL's solar position algorithm.

Run: python site_sun.py   (writes site_sun.json beside this file, prints what it holds)

Places up to 66 degrees from the equator (for sunsets 75, where some days have none) and times from 2026
to 2036, all by chance.

Sunsets are found as roots of pvlib's own heights, for `sun_rise_set_transit_spa` looks at the day in
Greenwich and so has another day's sunset for much of America, minutes off.
"""
import json
import random
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pandas as pd
from pvlib.solarposition import spa_python
from scipy.optimize import brentq

SEED, CASES, SUNSETS = 1023, 2000, 400
FIRST, LAST = 1767225600, 2114380800  # 2026-01-01 and 2037-01-01, UTC
DAY, MINUTE = 86400, 60
HORIZON = -0.833
FORMAT = {
    "packages": "the versions that made this file",
    "cases": "[latitude, longitude (east is positive), seconds since 1970 in UTC, azimuth clockwise from north, "
    "apparent height of the sun's middle], all angles in degrees. Apparent: with refraction at 101,325 Pa and 15 C, "
    "at sea level",
    "sunsets": f"[latitude, longitude, seconds since 1970 in UTC, the next sunset within 24 hours or null]: when the "
    f"true height of the sun's middle, without refraction, falls through {HORIZON} degrees",
}


def sun(latitude, longitude, seconds):
    times = pd.DatetimeIndex(np.asarray(seconds, dtype="datetime64[s]"), tz="UTC")
    return spa_python(times, latitude, longitude, altitude=0, pressure=101325, temperature=15)


def fine(latitude, longitude, seconds):
    """The true height at a moment that need not be a whole second."""
    times = pd.DatetimeIndex([np.datetime64(round(seconds * 1000), "ms")], tz="UTC")
    return spa_python(times, latitude, longitude, altitude=0)["elevation"].iloc[0] - HORIZON


def drawn(rng, farthest):
    return round(rng.uniform(-farthest, farthest), 3), round(rng.uniform(-180, 180), 3), rng.randrange(FIRST, LAST)


def case(rng):
    latitude, longitude, seconds = drawn(rng, 66)
    row = sun(latitude, longitude, [seconds]).iloc[0]
    return [latitude, longitude, seconds, round(row["azimuth"], 4), round(row["apparent_elevation"], 4)]


def sunset(latitude, longitude, start):
    """The first fall through the horizon, looked for minute by minute."""
    seconds = start + np.arange(0, DAY + MINUTE, MINUTE)
    above = sun(latitude, longitude, seconds)["elevation"].to_numpy() > HORIZON
    falls = np.flatnonzero(above[:-1] & ~above[1:])
    if not falls.size:
        return None
    before = float(seconds[falls[0]])
    return round(brentq(lambda at: fine(latitude, longitude, at), before, before + MINUTE, xtol=0.01))


def dump(value):
    return json.dumps(value, separators=(",", ":"))


def lines(rows):
    return "[\n" + ",\n".join(map(dump, rows)) + "\n]"


def main():
    rng = random.Random(SEED)
    cases = [case(rng) for _ in range(CASES)]
    sunsets = []
    while len(sunsets) < SUNSETS:
        place = drawn(rng, 75)
        set_at = sunset(*place)
        # Too close to either end, a second decides whether there is one.
        if any(sunset(place[0], place[1], place[2] + off) != set_at for off in (-120, 120)):
            print("left out, as there is a sunset at an end of the day:", place)
            continue
        sunsets.append([*place, set_at])
    packages = {name: version(name) for name in ("pvlib", "numpy", "pandas", "scipy")}
    (Path(__file__).parent / "site_sun.json").write_text(
        f'{{"format":{dump(FORMAT)},\n"packages":{dump(packages)},\n'
        f'"cases":{lines(cases)},\n"sunsets":{lines(sunsets)}\n}}\n'
    )
    heights = [row[4] for row in cases]
    print(len(cases), "places of the sun, from", min(heights), "to", max(heights), "degrees high;",
          sum(abs(height) < 1 for height in heights), "within a degree of the horizon")
    print(len(sunsets), "sunsets, of which", sum(row[3] is None for row in sunsets), "never come")


if __name__ == "__main__":
    main()
