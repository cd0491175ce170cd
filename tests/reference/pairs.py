"""Random rooms with the best way to pair them, for the tests of the pair audit.

Run: python pairs.py   (writes pairs.json beside this file, prints what the rooms cover)

The rules are those of src/calc/pairs/mod.rs, written anew on single things; scipy's
linear_sum_assignment finds the assignment. The weights keep four counts apart (pairs that
are only alike, pairs of one type and material, differences, gaps in size), so the counts of
the best assignment are unique though the assignment itself need not be.
"""
import json
import random
import unicodedata
from collections import Counter
from pathlib import Path

import numpy as np
from scipy.optimize import linear_sum_assignment

SEED, ROOMS, MOST = 49, 200, 24
# A float holds whole numbers below 2**53 exactly: 24 pairs * 25 * 2e9 is far below it.
GAP, DIFFERS = 1, 10**7
TYPE = DIFFERS * 200
ALIKE = TYPE * (MOST + 1)

TYPES = ["sofa", "Sofa", "armchair", "floor lamp", "Floor  Lamp", "rug", "side table"]
MODELS = ["", "", "Glow", "GLOW", "Beam", "Bend 3"]
MATERIALS = ["", "steel", "Steel", "linen", "Líñen", "oak"]
CONDITIONS = ["", "new", "worn"]
POSITIONS = ["", "left of the door", "Left of the door", "middle"]
LENGTHS = [None, None, 5800, 6000, 6096, 6200, 6400, 9000, 20000, 20900, 21100]


def fold(text):
    plain = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return " ".join(plain.lower().split())


def draw(rng):
    kind = "part" if rng.random() < 0.15 else "furnishing"
    size = [rng.choice(LENGTHS) for _ in range(3)]
    return [kind, rng.choice(TYPES), rng.choice(MODELS), rng.choice(MATERIALS), size,
            rng.choice(CONDITIONS), rng.choice(POSITIONS), rng.randint(1, 3)]


def close_to(thing, rng):
    """The same thing with one or two words changed, as a second one usually is."""
    other = list(thing)
    for place in rng.sample(range(2, 8), rng.randint(0, 2)):
        other[place] = draw(rng)[place]
    return other


def room(rng):
    a = [draw(rng) for _ in range(rng.randint(0, 8))]
    b = [close_to(thing, rng) for thing in a if rng.random() < 0.8] + [draw(rng) for _ in range(rng.randint(0, 3))]
    rng.shuffle(b)
    return [thing for thing in a], b


def singles(things):
    return [thing for thing in things for _ in range(thing[7])]


def fits(one, other, percent, length):
    if one is None or other is None:
        return True if one is other else None
    gap = abs(one - other)
    return gap <= length or gap * 100 <= percent * max(one, other)


def compare(a, b, percent, length):
    """None if these two can't be paired; else grade (0, 1, 2), differences, gaps."""
    if a[0] != b[0] or fold(a[1]) != fold(b[1]):
        return None
    model, material, condition, position = ([fold(x[i]) for x in (a, b)] for i in (2, 3, 5, 6))
    sizes = [fits(one, other, percent, length) for one, other in zip(a[4], b[4])]
    same_model = model[0] and model[0] == model[1]
    speaks_against = False in sizes or (all(material) and material[0] != material[1])
    if same_model and not speaks_against:
        grade = 0
    elif material[0] and material[0] == material[1] and all(sizes):
        grade = 1
    else:
        grade = 2
    differs = sum(x[0] != x[1] for x in (model, material, condition, position)) + (not all(sizes))
    gaps = sum(abs(one - other) for one, other in zip(a[4], b[4]) if None not in (one, other))
    return grade, differs, gaps


def solve(a, b, percent, length):
    a, b = singles(a), singles(b)
    # To pair nothing costs more than all that pairs can.
    never = ALIKE * (MOST + 1)
    weights = np.full((len(a), len(b)), float(never))
    seen = {}
    for i, one in enumerate(a):
        for j, other in enumerate(b):
            seen[i, j] = found = compare(one, other, percent, length)
            if found:
                grade, differs, gaps = found
                weights[i, j] = [0, TYPE, ALIKE][grade] + differs * DIFFERS + gaps * GAP
    rows, columns = linear_sum_assignment(weights)
    found = [seen[i, j] for i, j in zip(rows.tolist(), columns.tolist()) if seen[i, j]]
    grades = Counter(grade for grade, _, _ in found)
    costs = [grades[2], grades[1], sum(d for _, d, _ in found), sum(g for _, _, g in found)]
    return costs, [grades[0], grades[1], grades[2]], [len(a) - len(found), len(b) - len(found)]


def main():
    rng = random.Random(SEED)
    cases, cover = [], Counter()
    while len(cases) < ROOMS:
        a, b = room(rng)
        if max(len(singles(a)), len(singles(b))) > MOST:
            continue
        percent, length = rng.choice([(5, 250), (5, 250), (0, 0), (10, 500)])
        costs, pairs, orphans = solve(a, b, percent, length)
        assert costs[3] < DIFFERS and costs[2] * DIFFERS + costs[3] < TYPE
        cases.append({"a": a, "b": b, "percent": percent, "length": length,
                      "costs": costs, "pairs": pairs, "orphans": orphans})
        cover["same model"] += pairs[0] > 0
        cover["type and material"] += pairs[1] > 0
        cover["alike"] += pairs[2] > 0
        cover["orphans of A"] += orphans[0] > 0
        cover["orphans of B"] += orphans[1] > 0
        cover["all paired"] += orphans == [0, 0]
        cover["a room is empty"] += not a or not b
    for what, count in sorted(cover.items()):
        print(f"{what}: {count}")
        assert count >= 3, what
    form = ("a, b: kind, type, model, material, length/width/height in tenths of a millimetre, condition, position, "
            "quantity. percent, length: the tolerance. costs: pairs only alike, pairs of one type and material, "
            "differences, gaps. pairs: same model, type and material, alike. orphans: of A, of B.")
    text = json.dumps({"format": form}, ensure_ascii=False)[:-1] + ', "cases": [\n'
    text += ",\n".join(json.dumps(case, ensure_ascii=False, separators=(",", ":")) for case in cases) + "\n]}\n"
    Path(__file__).with_name("pairs.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
