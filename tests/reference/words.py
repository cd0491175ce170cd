"""Days and times in US English by babel, which has them from Unicode CLDR."""

import datetime
import json
import random

from babel.dates import format_date, format_time

ENTRY = {
    "format": {
        "on": "the day, ISO 8601",
        "at": "the time of day",
        "app": "the day in en_US by the pattern EEE, MMM d, y",
        "public": "the day in en_US, full",
        "time": "the time in en_US by the pattern h:mm, with a.m. or p.m. as AP style writes it, without :00",
    }
}


def spoken(at):
    said = format_time(at, "h:mm", locale="en_US").removesuffix(":00")
    half = format_time(at, "a", locale="en_US")
    return said + {"AM": " a.m.", "PM": " p.m."}[half]


def main():
    random.seed(13)
    first = datetime.date(2024, 1, 1)
    cases = []
    # Every day of four years, so a leap day too, each with a time; every minute of a day among them.
    for number in range(1461):
        on = first + datetime.timedelta(days=number)
        minute = number if number < 1440 else random.randrange(1440)
        at = datetime.time(minute // 60, minute % 60)
        cases.append(
            {
                "on": on.isoformat(),
                "at": at.strftime("%H:%M"),
                "app": format_date(on, "EEE, MMM d, y", locale="en_US"),
                "public": format_date(on, "full", locale="en_US"),
                "time": spoken(at),
            }
        )
    with open("words.json", "w", encoding="utf-8") as file:
        json.dump({**ENTRY, "cases": cases}, file, indent=None, separators=(",", ":"))
        file.write("\n")


main()
