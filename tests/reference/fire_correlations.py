"""Fire correlations by the package `ofire`, and the statistics of calc/fire/sampling.rs by scipy and numpy.

Run: python fire_correlations.py   (writes fire_correlations.json beside this file, prints what it holds)

Inputs are drawn over rooms of 2 to 4 m, openings in one wall of them, and fires of 50 to 5000 kW.
"""
import json
import math
import random
from importlib.metadata import version
from pathlib import Path

import numpy as np
import ofire
from scipy.stats import norm, spearmanr

SEED, CASES, SAMPLES = 815, 40, 40
PARTS = [0.05, 0.1, 0.5, 0.9, 0.95]
FORMAT = {
    "packages": "the versions that made this file",
    "functions": "by their path in ofire: the names of their inputs, and cases of [each input, result]",
    "units": "a_t (surface without the opening), a_v, a_vo m2; h_v, h_o, height, radial_position, r, delta m; q kW; "
    "temp, temp_amb, temperature K; h_k kW/(m2 K); rho kg/m3; c, c_p kJ/(kg K); k kW/(m K); t s; sigma kW/(m2 K4); x_r, "
    "emissivity, x, y without unit. Results: q_fo, q_max_vc, heat_release_rate_flashover, from_temperature_and_position kW; "
    "thermal_radiation_point_source, radiation_intensity kW/m2; hot_gas_temperature_increase K; heat_transfer_coefficient "
    "kW/(m2 K); thermal_penetration_time s; phi, part of the view",
    "hot_gas_temperature_increase": "a_v and h_v are lists there, given with one opening",
    "phi": "equation_a3: a rectangle whose middle is on the normal, x and y half its width and height over its distance; "
    "equation_a4: a corner on the normal, x and y its width and height over its distance",
    "normal": "[part, the value that a standard normal variable stays below in that part of all cases], by scipy.stats.norm.ppf",
    "parts": "the parts to which the quantiles of the samples belong",
    "samples": "x, y: pairs with ties; correlation: scipy.stats.spearmanr; x_quantiles, y_quantiles: numpy.quantile, method linear",
}


# --- ofire ----------------------------------------------------------------------------------


def between(rng, low, high, digits=3):
    return round(rng.uniform(low, high), digits)


def log_between(rng, low, high, digits=1):
    """Small values as often as large ones."""
    return round(math.exp(rng.uniform(math.log(low), math.log(high))), digits)


def room(rng):
    """Surface without the opening, area, and height of the opening."""
    length, width, height = (between(rng, 2, 4) for _ in range(3))
    wide, high = between(rng, 0.6, width), between(rng, 0.8, height)
    area = round(wide * high, 4)
    return round(2 * (length * width + (length + width) * height) - area, 4), area, high


def lining(rng):
    """Conductivity, density, specific heat, and thickness: from insulating board to concrete."""
    return between(rng, 0.00008, 0.002, 6), between(rng, 200, 2400, 0), between(rng, 0.7, 2.5), between(rng, 0.006, 0.15, 4)


def thomas(rng):
    a_t, a_v, h_v = room(rng)
    return {"a_t": a_t, "a_v": a_v, "h_v": h_v}


def mccaffrey(rng):
    return {"h_k": between(rng, 0.005, 0.06, 5), **thomas(rng)}


def opening(rng):
    _, a_v, h_v = room(rng)
    return {"a_v": a_v, "h_v": h_v}


def opening_e(rng):
    _, a_vo, h_o = room(rng)
    return {"a_vo": a_vo, "h_o": h_o}


def layer(rng):
    return {"q": log_between(rng, 50, 5000), **opening_with_surface(rng), "h_k": between(rng, 0.005, 0.06, 5)}


def opening_with_surface(rng):
    a_t, a_v, h_v = room(rng)
    return {"a_v": a_v, "h_v": h_v, "a_t": a_t}


def penetration(rng):
    k, rho, c_p, delta = lining(rng)
    return {"rho": rho, "c_p": c_p, "k": k, "delta": delta}


def short_times(rng):
    k, rho, c, _ = lining(rng)
    return {"k": k, "rho": rho, "c": c, "t": between(rng, 10, 600, 1)}


def point(rng):
    return {"q": log_between(rng, 50, 5000), "r": between(rng, 1, 30), "x_r": between(rng, 0.2, 0.5)}


def ceiling_jet(rng):
    ambient = between(rng, 263.15, 313.15, 2)
    near = rng.random() < 0.3  # below the turning point of the correlation, r / H = 0.18
    height = between(rng, 1.5, 3.7)
    return {"temp": round(ambient + between(rng, 5, 300, 2), 2), "temp_amb": ambient, "height": height,
            "radial_position": between(rng, 0.05, 0.17 * height) if near else between(rng, 0.2 * height, 4)}


def glow(rng):
    return {"sigma": 5.670374419e-11, "emissivity": between(rng, 0.3, 1), "temperature": between(rng, 273.15, 1400, 2)}


def view(rng):
    return {"x": log_between(rng, 0.02, 5, 4), "y": log_between(rng, 0.02, 5, 4)}


FUNCTIONS = {
    "pd_7974.part_1.section_8.equation_28.q_fo": thomas,
    "pd_7974.part_1.section_8.equation_29.q_fo": mccaffrey,
    "pd_7974.part_1.section_8.equation_33.q_max_vc": opening,
    "cibse_guide_e.chapter_6.equation_6_7.heat_release_rate_flashover": opening_e,
    "fire_dynamics_tools.chapter_2.equation_2_1.hot_gas_temperature_increase": layer,
    "fire_dynamics_tools.chapter_2.equation_2_4.thermal_penetration_time": penetration,
    "fire_dynamics_tools.chapter_2.equation_2_5.heat_transfer_coefficient_shorttimes_or_thickwalls": short_times,
    "fire_dynamics_tools.chapter_5.equation_5_1.thermal_radiation_point_source": point,
    "sfpe_handbook.chapter_14.alpert.heat_release.from_temperature_and_position": ceiling_jet,
    "br_187.appendix_a.equation_a1.radiation_intensity": glow,
    "br_187.appendix_a.equation_a3.phi": view,
    "br_187.appendix_a.equation_a4.phi": view,
}


def call(path, inputs):
    function = ofire
    for name in path.split("."):
        function = getattr(function, name)
    if path.endswith("hot_gas_temperature_increase"):
        inputs = {**inputs, "a_v": [inputs["a_v"]], "h_v": [inputs["h_v"]]}
    if path.endswith(".phi"):
        inputs = {**inputs, "additive": True}
    return function(**inputs)


def evaluate(rng, path, draw):
    drawn = [draw(rng) for _ in range(CASES)]
    cases = [[*inputs.values(), call(path, inputs)] for inputs in drawn]
    assert all(math.isfinite(case[-1]) and case[-1] > 0 for case in cases), path
    return {"inputs": list(drawn[0]), "cases": cases}


# --- statistics -----------------------------------------------------------------------------


def normal():
    """200 points: 100 over the middle, 100 far out on both sides."""
    middle = np.linspace(0.005, 0.995, 100)
    far = np.geomspace(1e-6, 0.0049, 50)
    parts = sorted([*middle.tolist(), *far.tolist(), *(1 - far).tolist()])
    return [[part, float(norm.ppf(part))] for part in parts]


def sample(rng):
    """Pairs that go together more or less, with few enough values that some are equal."""
    count, pull, grain = rng.randint(8, 30), rng.uniform(-1, 1), rng.choice([0.5, 1, 2, 5])
    x = [round(rng.gauss(0, 4) / grain) * grain for _ in range(count)]
    y = [round((pull * one + (1 - abs(pull)) * rng.gauss(0, 4)) / grain) * grain for one in x]
    return x, y


def ties(values):
    return len(values) - len(set(values))


def samples(rng):
    out = []
    while len(out) < SAMPLES:
        x, y = sample(rng)
        if min(len(set(x)), len(set(y))) < 2 or not ties(x) or not ties(y):
            continue  # no correlation where nothing changes; and ties on both sides
        out.append({"x": x, "y": y, "correlation": float(spearmanr(x, y).statistic),
                    "x_quantiles": np.quantile(x, PARTS, method="linear").tolist(),
                    "y_quantiles": np.quantile(y, PARTS, method="linear").tolist()})
    return out


# --- checks ---------------------------------------------------------------------------------


def check_examples():
    """Figures that are published, or that several sources agree on."""
    section = "pd_7974.part_1.section_8."
    for path, inputs, wanted in [
        (section + "equation_28.q_fo", {"a_t": 1.0, "a_v": 2.0, "h_v": 9.0}, 2275.8),
        (section + "equation_33.q_max_vc", {"a_v": 3.0, "h_v": 9.0}, 13500.0),
        ("br_187.appendix_a.equation_a4.phi", {"x": 1.0, "y": 1.0}, 0.138532),
    ]:
        assert abs(call(path, inputs) - wanted) < 1e-5 * wanted, path


def dump(x):
    return json.dumps(x, separators=(",", ":"))


def lines(entries):
    return ",\n".join(map(dump, entries))


def main():
    check_examples()
    rng = random.Random(SEED)
    functions = {path: evaluate(rng, path, draw) for path, draw in FUNCTIONS.items()}
    points, pairs = normal(), samples(rng)
    correlations = [pair["correlation"] for pair in pairs]
    assert min(correlations) < -0.5 and max(correlations) > 0.5
    head = {"format": FORMAT, "packages": {name: version(name) for name in ("ofire", "scipy", "numpy")}}
    Path(__file__).with_name("fire_correlations.json").write_text(
        dump(head)[:-1] + ',\n"functions":{\n'
        + ",\n".join(f"{dump(path)}:{dump(table)}" for path, table in functions.items())
        + '},\n"normal":[\n' + lines(points) + '],\n"parts":' + dump(PARTS) + ',\n"samples":[\n' + lines(pairs) + "\n]}\n")
    for path, table in functions.items():
        print(f"{len(table['cases']):6} {path}")
    print(f"{len(points):6} points of the normal distribution")
    print(f"{len(pairs):6} samples, correlations {min(correlations):.2f} to {max(correlations):.2f}")


if __name__ == "__main__":
    main()
