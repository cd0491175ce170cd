"""Talks, and what of them there is time for in many fires, counted again without any shortcut.

Run: python talk.py   (reads and writes talk.json beside this file, prints what the talks cover)

The first 300 fires are the room model's own, to a tenth of a second. To make them again:
WRITE_FIRES=1 cargo test --test it talk_fit   (writes them alone; then run this script)
The other 60 are made here, in whole seconds: marks that never come, that change places, and that
come at the same time. For each fire and each line, one after the other, this script looks for the
next mark, and compares. Only the standard library is needed.
"""
import json
import random
from collections import Counter
from math import floor, inf
from pathlib import Path

SEED, SIMULATED, MADE = 2027, 300, 60
FILE = Path(__file__).with_name("talk.json")
MARKS = ALARM, SPRINKLER, FLASHOVER, ATTACK = "alarm", "sprinkler", "flashover", "attack"
# Each burn: its parts with what begins them (none: lighting), and whether the crew attacks.
BURNS = {
    False: [
        ([("lit", None), ("alarm", ALARM), ("flashover", FLASHOVER)], True),
        ([("lit-b", None), ("alarm-b", ALARM), ("sprinkler", SPRINKLER)], False),
    ],
    True: [([("lit", None), ("alarm", ALARM), ("sprinkler", SPRINKLER), ("flashover", FLASHOVER)], True)],
}
OUTSIDE = {False: ["before", "between", "after"], True: ["before", "after"]}
WAITS = ["alarm", "alarm-b", "sprinkler", "flashover"]
BRANCHES = ["alarm-early", "alarm-late", "alarm-never", "sprinkler-early", "sprinkler-late", "sprinkler-never",
            "flashover-early", "flashover-late", "flashover-never", "stopped"]
PARTS = ["before", "lit", "alarm", "flashover", "between", "lit-b", "alarm-b", "sprinkler", "after", *BRANCHES]
FORMAT = {
    "fires": "[alarm, sprinkler, flashover], s from lighting, null for never; the first 300 are simulated",
    "both": "whether both rooms burn at once; listen and attack in s",
    "from, until": "which of the fires are counted",
    "lines": "[part, s, comes, full, cut, cut by, starts, ends]; what a line fits is a count of fires",
    "sections": "[part, comes, leaves, wanted, silence in half, in nine of ten, ended by]; null for none",
}


# --- drawing ------------------------------------------------------------------------------------


def fire(rng, index):
    """Whole seconds, so that marks can come together and lines can end with them."""
    if index >= MADE - 12:  # in order, and seldom a flashover
        return [rng.randrange(10, 40), rng.randrange(41, 100), rng.randrange(101, 200) if index == MADE - 1 else None]
    times = [rng.randrange(10, 200) if rng.random() < 0.75 else None for _ in range(3)]
    if index % 4 == 0:
        same = rng.randrange(10, 120)
        for place in rng.sample(range(3), rng.choice([2, 2, 3])):
            times[place] = same
    if index % 15 == 1:
        times[rng.randrange(3)] = 0
    return times


def talk(rng, index):
    both = index % 2 == 1
    start, until = [(0, 360), (0, 300), (300, 360), (0, 360), (348, 359), (290, 320)][index // 2]
    parts = PARTS[:] if index < 10 else [part for part in PARTS if rng.random() < 0.5]
    parts += PARTS[1:8] * 3  # what burns, more often
    count = rng.choice([10, 25, 40])
    lines = []
    for _ in range(count):
        # Quarters of a second: exact, and seldom where a simulated mark is.
        seconds = rng.choice([rng.randrange(2, 15), rng.randrange(8, 120) / 4])
        lines.append((rng.choice(parts), float(seconds)))
    return both, float(rng.choice([0, 3, 5])), float(rng.choice([0, 10, 30])), start, until, lines


# --- counting -----------------------------------------------------------------------------------


def marks_of(burn, one, attack):
    """What comes in this burn: (time, place in the list, mark), with None for lighting."""
    parts, attacked = burn
    alarm, sprinkler, flashover = one
    times = {None: 0.0, ALARM: alarm, SPRINKLER: sprinkler, FLASHOVER: flashover}
    come = [(times[mark], place, mark) for place, (_, mark) in enumerate(parts) if times[mark] is not None]
    if attacked and flashover is not None:
        come.append((flashover + attack, len(parts), ATTACK))
    return come


def lasts(burn, part, one, attack):
    """None if the part doesn't begin, else how long it lasts and what ends it."""
    begun_by = dict(burn[0])[part]
    come = marks_of(burn, one, attack)
    own = [entry for entry in come if entry[2] == begun_by]
    if not own:
        return None
    begins, place, _ = own[0]
    ends = inf
    for time, other, _ in come:
        if (time > begins or (time == begins and other > place)) and time < ends:
            ends = time
    if ends == inf:
        return inf, None
    last = max((other, mark) for time, other, mark in come if time == ends)
    return ends - begins, last[1]


def most_often(marks):
    best = None
    for mark in MARKS:
        if marks.count(mark) > (marks.count(best) if best else 0):
            best = mark
    return best


def quantile(values, part):
    values = sorted(values)
    place = part * (len(values) - 1)
    below = floor(place)
    above = min(below + 1, len(values) - 1)
    return values[below] + (values[above] - values[below]) * (place - below)


def times_of(lines, listen):
    """When each line starts and ends, after its part begins."""
    times = []
    for index, (part, seconds) in enumerate(lines):
        start = listen if part in WAITS else 0.0
        for before, its_seconds in lines[:index]:
            if before == part:
                start += its_seconds
        times.append((start, start + seconds))
    return times


def fit_line(both, part, start, end, fires, attack):
    if part in OUTSIDE[both]:
        return [len(fires), len(fires), 0, None]
    comes = full = 0
    cuts = []
    for burn in BURNS[both]:
        if part not in dict(burn[0]):
            continue
        for one in fires:
            found = lasts(burn, part, one, attack)
            if found is None:
                continue
            comes += 1
            if end <= found[0]:
                full += 1
            elif start < found[0]:
                cuts.append(found[1])
    return [comes, full, len(cuts), most_often(cuts)]


def silent(gap, own):
    last = 0.0
    for start, end in own:
        if end <= gap:
            last = max(last, end)
        elif start < gap:
            return 0.0
    return gap - last


def section(burn, part, own, fires, listen, attack):
    found = [lasts(burn, part, one, attack) for one in fires]
    found = [entry for entry in found if entry is not None]
    gaps = [gap for gap, _ in found]
    leaves = None
    for gap in gaps:
        if sum(other >= gap for other in gaps) * 10 >= 9 * len(gaps):
            leaves = gap if leaves is None else max(leaves, gap)
    wanted = max([end for _, end in own], default=listen if part in WAITS else 0.0)
    silences = [silent(gap, own) for gap in gaps if gap < inf]
    half, most = (quantile(silences, 0.5), quantile(silences, 0.9)) if silences else (None, None)
    ended_by = most_often([mark for _, mark in found])
    return [part, len(found), None if leaves == inf else leaves, wanted, half, most, ended_by]


def count(both, listen, attack, start, until, lines, all_fires):
    fires, times = all_fires[start:until], times_of(lines, listen)
    said = [[part, seconds, *fit_line(both, part, a, b, fires, attack), a, b]
            for (part, seconds), (a, b) in zip(lines, times)]
    sections = []
    for burn in BURNS[both]:
        for part, _ in burn[0]:
            own = [time for (its, _), time in zip(lines, times) if its == part]
            sections.append(section(burn, part, own, fires, listen, attack))
    return {"both": both, "listen": listen, "attack": attack, "from": start, "until": until,
            "lines": said, "sections": sections}


def covers(coverage, counted):
    for _, _, comes, full, cut, cut_by, _, _ in counted["lines"]:
        coverage["lines that never come"] += comes == 0
        coverage["lines that fit"] += comes > 0 and full * 10 >= comes * 9
        coverage["lines that fit in 9 of 10, not in all"] += full < comes and full * 10 >= comes * 9
        coverage["lines that don't fit"] += full * 10 < comes * 9
        if cut:
            coverage[f"lines cut most often by {cut_by}"] += 1
    for _, comes, leaves, _, half, most, ended_by in counted["sections"]:
        coverage["parts that leave any amount"] += comes > 0 and leaves is None
        coverage["parts that leave nothing"] += leaves == 0
        coverage["parts without silence"] += half == 0
        coverage["parts with silence"] += most is not None and most > 0
        coverage[f"parts ended most often by {ended_by}" if ended_by else "parts that nothing ends"] += 1


def dump(x):
    return json.dumps(x, separators=(",", ":"), allow_nan=False)


def main():
    rng, coverage = random.Random(SEED), Counter()
    fires = json.loads(FILE.read_text())["fires"][:SIMULATED]
    assert len(fires) == SIMULATED
    fires += [fire(rng, index) for index in range(MADE)]
    talks = [count(*talk(rng, index), fires) for index in range(12)]
    for counted in talks:
        covers(coverage, counted)
    FILE.write_text(
        '{"format":' + dump(FORMAT) + ',\n"fires":' + dump(fires) + ',\n"talks":[\n'
        + ",\n".join(map(dump, talks)) + "\n]}\n")
    for key in sorted(coverage):
        print(f"{coverage[key]:6} {key}")
    assert min(coverage.values()) >= 3, min(coverage, key=coverage.get)
    print(len(fires), "fires,", len(talks), "talks,", sum(len(t["lines"]) for t in talks), "lines")


if __name__ == "__main__":
    main()
