"""How soon people acknowledge, by lifelines' Kaplan-Meier estimator.

Run: python acknowledge.py   (writes acknowledge.json beside this file, prints what it holds)

Sets of 30 to 200 observations by chance: a third with times of their own, a third by the minute, a third
within five minutes, so that many are the same; and from nobody given up to everybody.
"""
import json
import random
from importlib.metadata import version
from pathlib import Path

from lifelines import KaplanMeierFitter

SEED, SETS = 2204, 200
FORMAT = {
    "packages": "the versions that made this file",
    "sets": "minutes: of each observation; acknowledged: as many digits, 1 acknowledged and 0 still open or given up "
    "then; timeline: every time that occurs; share: of the people who have acknowledged by then, 1 less the survival "
    "function",
}


def minutes(rng, ties):
    drawn = rng.expovariate(1 / rng.choice([2, 6, 15]))
    return {"none": round(drawn, 4), "minute": float(round(drawn)), "heavy": float(rng.randint(1, 5))}[ties]


def observations(rng, number):
    ties = ["none", "minute", "heavy"][number % 3]
    # Every tenth has nobody given up, and every other tenth everybody.
    given_up = {0: 0, 5: 1}.get(number % 10, rng.uniform(0.05, 0.8))
    size = rng.choice([30, 31, 200, rng.randint(30, 200)])
    return [(minutes(rng, ties), rng.random() >= given_up) for _ in range(size)]


def case(rng, number):
    times, acknowledged = zip(*observations(rng, number))
    fitted = KaplanMeierFitter().fit(times, event_observed=acknowledged).survival_function_["KM_estimate"]
    fitted = fitted[fitted.index.isin(times)]
    return {
        "minutes": list(times),
        "acknowledged": "".join(str(int(yes)) for yes in acknowledged),
        "timeline": [float(at) for at in fitted.index],
        "share": [1 - float(open) for open in fitted],
    }


def dump(value):
    return json.dumps(value, separators=(",", ":"))


def main():
    rng = random.Random(SEED)
    sets = [case(rng, number) for number in range(SETS)]
    packages = {name: version(name) for name in ("lifelines", "numpy", "pandas", "scipy")}
    (Path(__file__).parent / "acknowledge.json").write_text(
        f'{{"format":{dump(FORMAT)},\n"packages":{dump(packages)},\n"sets":[\n' + ",\n".join(map(dump, sets)) + "\n]}\n"
    )
    sizes = [len(one["minutes"]) for one in sets]
    print(len(sets), "sets of", min(sizes), "to", max(sizes), "observations;",
          sum("0" not in one["acknowledged"] for one in sets), "with nobody given up,",
          sum("1" not in one["acknowledged"] for one in sets), "with everybody,",
          sum(2 * len(one["timeline"]) < len(one["minutes"]) for one in sets), "with less than half as many times,",
          sum(one["timeline"][0] == 0 for one in sets), "from minute 0 on")


if __name__ == "__main__":
    main()
