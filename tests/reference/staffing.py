"""Random crews and what the best of them comes to, for the tests of the proposal.

Run: python staffing.py   (writes staffing.json beside this file, prints what the crews cover)

Who can take which post and what that costs is worked out here a second time, from posts and
people; the best choice is scipy's (linear_sum_assignment over single seats), and how many seats it
fills is asked of networkx too. Stand-bys come from scipy's binomial distribution.
"""
import json
import random
from collections import Counter
from pathlib import Path

import networkx as nx
import numpy as np
from scipy.optimize import linear_sum_assignment
from scipy.stats import binom

SEED, CREWS = 407, 300
ANSWERS = YES, MAYBE, WAITING, NOT_ASKED, NO = range(5)
# What a seat costs beyond its being filled: the place of the count it adds to.
MOVED, COUNT_NOT_ASKED, COUNT_WAITING, COUNT_MAYBE, CHANGED = range(5)
FORMAT = {
    "posts": "[seats, critical 0/1, from, until, [qualifications]]; minutes after midnight of the day",
    "people": "[[[qualification, expired 0/1]], there, day, [[post, answer]], [posts they have now]]; "
    "there is null for any hour or [[from, until]]; posts by their place in the list",
    "answers": "0 yes, 1 maybe, 2 waiting, 3 not asked, 4 no; day is the answer where no post is named",
    "least": "the least answer that is counted on",
    "best": "[seats filled, of those critical, moved, not asked, waiting, maybe, changed]",
    "without": "for each person: seats lost without them, and critical seats lost, as two digits",
    "standbys": "[wanted, certainty, show rate, to ask]",
}


# --- drawing ------------------------------------------------------------------------------------


def interval(rng, same):
    if same:
        return [480, 780]
    start = rng.randrange(6 * 60, 22 * 60, 30)
    return [start, start + rng.randrange(60, 6 * 60, 30)]  # some pass midnight


def post(rng, same, qualifications):
    needs = sorted(rng.sample(range(qualifications), rng.choice([0, 1, 1, 2])))
    return [rng.choice([1, 1, 2, 3]), int(rng.random() < 0.4), *interval(rng, same), needs]


def person(rng, posts, qualifications, keen):
    holds = [[q, int(rng.random() < 0.15)] for q in range(qualifications) if rng.random() < 0.3 + 0.5 * keen]
    there = None
    if rng.random() < 0.6 - 0.4 * keen:
        start = rng.choice([0, 7, 8, 12]) * 60
        end = rng.choice([13, 17, 30]) * 60
        cut = rng.randrange(start + 30, end, 30)
        there = rng.choice([[[start, end]], [[cut, end], [start, cut]], [[start, cut]]])
    day = rng.choice(ANSWERS)
    about = rng.sample(range(len(posts)), min(len(posts), rng.choice([0, 0, 1, 1, 2])))
    at = rng.sample(range(len(posts)), rng.choice([0, 1]))
    return [holds, there, day, [[p, rng.choice(ANSWERS)] for p in about], at]


def crew(rng, index):
    same = index % 2 == 0
    qualifications = rng.randint(2, 5)
    posts = [post(rng, same, qualifications) for _ in range(rng.randint(1, 12))]
    seats = sum(p[0] for p in posts)
    keen = rng.random()
    people = [person(rng, posts, qualifications, keen) for _ in range(rng.randint(0, 3 * seats))]
    return same, posts, people, rng.choice([MAYBE, WAITING, NOT_ASKED, NOT_ASKED])


# --- what holds ---------------------------------------------------------------------------------


def can_take(posts, p, somebody, least):
    _, _, start, end, needs = posts[p]
    holds, there, day, about, _ = somebody
    said = dict(map(tuple, about)).get(p, day)
    if said == NO or said > least:
        return False
    if any([need, 0] not in holds for need in needs):
        return False
    # Minute by minute: nothing that merely touches can go wrong so.
    return there is None or all(any(a <= m < b for a, b in there) for m in range(start, end))


def adds_to(p, somebody):
    """The counts to which somebody at that post adds one."""
    _, _, day, about, at = somebody
    yes = [post for post, said in about if said == YES]
    changed = [] if p in at else [CHANGED]
    if p in yes:
        return changed
    if yes:
        return [MOVED, *changed]
    said = dict(map(tuple, about)).get(p, day)
    counts = {MAYBE: [COUNT_MAYBE], WAITING: [COUNT_WAITING], NOT_ASKED: [COUNT_NOT_ASKED]}
    return counts.get(said, []) + changed


def best(posts, people, least):
    """The counts of the best choice, one seat each, compared one after the other."""
    seats = [p for p, post in enumerate(posts) for _ in range(post[0])]
    base = len(seats) + 1
    gain = np.zeros((len(seats), len(people)))
    for column, somebody in enumerate(people):
        able = {p for p in range(len(posts)) if can_take(posts, p, somebody, least)}
        for row, p in enumerate(seats):
            if p in able:
                gain[row, column] = base**6 + posts[p][1] * base**5
                gain[row, column] -= sum(base ** (4 - count) for count in adds_to(p, somebody))
    assert gain.max(initial=0) * base < 2**53, "floats would no longer be exact"
    counts = [0] * 7
    for row, column in zip(*linear_sum_assignment(gain, maximize=True)):
        if gain[row, column] > 0:
            p = seats[row]
            counts[0] += 1
            counts[1] += posts[p][1]
            for count in adds_to(p, people[column]):
                counts[2 + count] += 1
    return counts


def most(posts, people, least):
    graph = nx.Graph()
    rows = [("seat", p, n) for p, post in enumerate(posts) for n in range(post[0])]
    graph.add_nodes_from(rows)
    for column, somebody in enumerate(people):
        for row in rows:
            if can_take(posts, row[1], somebody, least):
                graph.add_edge(row, column)
    return len(nx.bipartite.hopcroft_karp_matching(graph, rows)) // 2


def without(posts, people, least, counts):
    digits = []
    for left in range(len(people)):
        rest = best(posts, people[:left] + people[left + 1 :], least)
        lost = [counts[0] - rest[0], counts[1] - rest[1]]
        assert lost in ([0, 0], [1, 0], [1, 1]), lost  # one seat each: no more can be lost
        digits.append("".join(map(str, lost)))
    return " ".join(digits)


def standbys():
    cases = []
    for wanted in [1, 2, 3, 6, 12, 25, 60, 150, 300, 400]:
        for certainty in [0.5, 0.8, 0.9, 0.95, 0.99, 0.999]:
            for rate in [0.05, 0.3, 0.5, 0.65, 0.7, 0.8, 0.9, 0.97]:
                n = wanted
                while binom.sf(wanted - 1, n, rate) < certainty:
                    n += 1
                # Too near to call would be a test of rounding.
                if all(abs(binom.sf(wanted - 1, k, rate) - certainty) > 1e-9 for k in (n - 1, n)):
                    cases.append([wanted, certainty, rate, n])
    return cases


def dump(x):
    return json.dumps(x, separators=(",", ":"))


def main():
    rng, coverage, lines = random.Random(SEED), Counter(), []
    for index in range(CREWS):
        same, posts, people, least = crew(rng, index)
        counts = best(posts, people, least)
        assert counts[0] == most(posts, people, least)
        lost = without(posts, people, least, counts)
        seats = sum(post[0] for post in posts)
        coverage["complete"] += counts[0] == seats
        coverage["incomplete"] += counts[0] < seats
        coverage["nobody"] += counts[0] == 0
        coverage["all at the same hours"] += same
        for place, name in enumerate(["filled", "critical", "moved", "not asked", "waiting", "maybe", "changed"]):
            coverage["some " + name] += counts[place] > 0
        for kind in ("00", "10", "11"):
            coverage["someone whose loss costs " + kind] += kind in lost.split()
        lines.append(dump({
            "same": int(same), "least": least, "posts": posts, "people": people,
            "best": counts, "without": lost,
        }))
    grid = standbys()
    Path(__file__).with_name("staffing.json").write_text(
        '{"format":' + dump(FORMAT) + ',\n"crews":[\n' + ",\n".join(lines) + '\n],\n"standbys":' + dump(grid) + "}\n")
    assert min(coverage.values()) >= 3, min(coverage, key=coverage.get)
    for key in sorted(coverage):
        print(f"{coverage[key]:6} {key}")
    print(CREWS, "crews,", len(grid), "cases of stand-bys")


if __name__ == "__main__":
    main()
