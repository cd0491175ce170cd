"""What another reader finds in the calendar files that our code makes.

Run: WRITE_CALENDARS=1 cargo test --lib mail::ics   (writes calendars/*.ics)
     python calendars.py                            (writes calendars.json beside this file)
"""
import base64
import hashlib
import json
from datetime import timedelta
from pathlib import Path

from icalendar import Calendar, Event

HERE = Path(__file__).parent


def lines(data):
    """The lines as they stand in the file, checked as RFC 5545 section 3.1 wants them."""
    assert data.endswith(b"\r\n")
    split = data[:-2].split(b"\r\n")
    for line in split:
        assert b"\r" not in line and b"\n" not in line, line
        assert len(line) <= 75, line
        # A character that a fold had split would not decode.
        line.decode("utf-8")
    return split


def instant(prop):
    assert prop.dt.utcoffset() == timedelta(0), prop.dt
    return prop.dt.isoformat()


def text(prop):
    return None if prop is None else str(prop)


def calendar_name(prop):
    """A TEXT, as RFC 5545 section 3.8.8.2 says of X- properties, whose escapes the package leaves."""
    if prop is None:
        return None
    return text(Event.from_ical(f"BEGIN:VEVENT\r\nSUMMARY:{prop}\r\nEND:VEVENT\r\n")["SUMMARY"])


def person(prop):
    return {"name": text(prop.params.get("CN")), "address": str(prop)}


def attendee(prop):
    if prop is None:
        return None
    return person(prop) | {"rsvp": text(prop.params.get("RSVP")), "partstat": text(prop.params.get("PARTSTAT"))}


def entry(event):
    assert event.name == "VEVENT" and not event.errors and not event.subcomponents
    return {
        "uid": text(event["UID"]),
        "sequence": int(event["SEQUENCE"]),
        "dtstamp": instant(event["DTSTAMP"]),
        "dtstart": instant(event["DTSTART"]),
        "dtend": instant(event["DTEND"]),
        "status": text(event["STATUS"]),
        "summary": text(event["SUMMARY"]),
        "location": text(event["LOCATION"]),
        "description": text(event["DESCRIPTION"]),
        "url": text(event["URL"]),
        "organizer": person(event["ORGANIZER"]),
        "attendee": attendee(event.get("ATTENDEE")),
    }


def read(path):
    data = path.read_bytes()
    longest = max(map(len, lines(data)))
    calendars = Calendar.from_ical(data, multiple=True)
    assert len(calendars) == 1
    calendar = calendars[0]
    assert not calendar.errors and calendar["VERSION"] == "2.0"
    if calendar["METHOD"] == "PUBLISH":
        assert calendar["REFRESH-INTERVAL"].dt == timedelta(hours=1)
    return {
        "method": text(calendar["METHOD"]),
        "name": calendar_name(calendar.get("X-WR-CALNAME")),
        "longest_line": longest,
        "sha256": base64.b64encode(hashlib.sha256(data).digest()).decode(),
        "entries": [entry(event) for event in calendar.subcomponents],
    }


def main():
    about = {
        "files": "by file: what the icalendar package read; name is X-WR-CALNAME",
        "longest_line": "octets without CR LF",
        "sha256": "of the file that was read, in base64",
    }
    files = {path.name: read(path) for path in sorted((HERE / "calendars").glob("*.ics"))}
    (HERE / "calendars.json").write_text(
        json.dumps({"format": about, "files": files}, indent=1, ensure_ascii=False) + "\n", encoding="utf-8"
    )
    print(len(files), "files;", sum(len(file["entries"]) for file in files.values()), "entries; longest line",
          max(file["longest_line"] for file in files.values()))


if __name__ == "__main__":
    main()
