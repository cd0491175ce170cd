"""When to decide at the latest, and who calls whom, for invented crews.

Run: python calling.py   (standard library only; writes calling.json beside this file, prints what it holds)

Calls are made one by one here: in each round every caller calls one more from the top of a pile, and
the pile is searched each time for who comes next.
"""
import json
import random
from datetime import datetime, timedelta, timezone
from pathlib import Path

SEED, CREWS = 1117, 200
START = datetime(2027, 1, 9, 4, 0, tzinfo=timezone.utc)
FORMAT = {
    "people": "[number, sets off, alternates]; times are seconds since 1970 in UTC",
    "callers": "how many call",
    "minutes": "for each call",
    "margin": "minutes",
    "latest": "the latest decision, or null",
    "order": "numbers of all people, as they are called",
    "lists": "for each caller, the numbers they call",
}


def is_before(one, other):
    if one[1] != other[1]:
        return one[1] < other[1]
    if one[2] != other[2]:
        return one[2] < other[2]
    return one[0] < other[0]


def next_of(pile):
    first = pile[0]
    for person in pile[1:]:
        if is_before(person, first):
            first = person
    pile.remove(first)
    return first


def called(people, callers):
    """Everybody in order, each caller's list, and how many rounds that took."""
    pile, order, lists, rounds = list(people), [], [[] for _ in range(callers)], 0
    while pile and callers:
        rounds += 1
        for calls in lists:
            if pile:
                person = next_of(pile)
                order.append(person[0])
                calls.append(person[0])
    while pile:
        order.append(next_of(pile)[0])
    return order, lists, rounds


def latest(people, callers, rounds, minutes, margin):
    if not callers:
        return None
    moment = datetime.fromtimestamp(min(person[1] for person in people), timezone.utc)
    for _ in range(rounds):
        moment -= timedelta(minutes=minutes)
    return round((moment - timedelta(minutes=margin)).timestamp())


def crew(rng):
    # Departures by the quarter of an hour, so that many are the same.
    size = rng.randint(1, 45)
    people = [
        [number, round((START + timedelta(minutes=15 * rng.randint(0, 12))).timestamp()), rng.randint(0, 3)]
        for number in rng.sample(range(1, 400), size)
    ]
    callers, minutes, margin = rng.randint(0, 8), rng.randint(1, 12), rng.choice([0, 15, 30, 60, 90])
    order, lists, rounds = called(people, callers)
    return {
        "people": people, "callers": callers, "minutes": minutes, "margin": margin,
        "latest": latest(people, callers, rounds, minutes, margin), "order": order, "lists": lists,
    }


def dump(value):
    return json.dumps(value, separators=(",", ":"))


def main():
    rng = random.Random(SEED)
    crews = [crew(rng) for _ in range(CREWS)]
    (Path(__file__).parent / "calling.json").write_text(
        f'{{"format":{dump(FORMAT)},\n"crews":[\n' + ",\n".join(map(dump, crews)) + "\n]}\n"
    )
    print(len(crews), "crews with", sum(len(one["people"]) for one in crews), "people;",
          sum(one["callers"] == 0 for one in crews), "with no callers,",
          sum(one["callers"] > len(one["people"]) for one in crews), "with more than they need")


if __name__ == "__main__":
    main()
