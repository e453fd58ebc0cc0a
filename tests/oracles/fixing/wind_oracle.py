"""Compares 1,000 random sites with an independent library (eurocodepy, PyPI) to 1e-9.

    pip install eurocodepy==2027.0.12
    cargo build --release -p tests --example wind_oracle
    python tests/oracles/fixing/wind_oracle.py target/release/examples/wind_oracle

The library's wind module is pure mathematics and is loaded alone, so that its other parts are not needed.
Ends with status 1 where any figure differs.
"""

import importlib.util
import pathlib
import random
import subprocess
import sys

TERRAINS = {
    "en-recommended": {"0": (0.003, 1.0), "I": (0.01, 1.0), "II": (0.05, 2.0), "III": (0.3, 5.0), "IV": (1.0, 10.0)},
    "pt": {"I": (0.005, 1.0), "II": (0.05, 3.0), "III": (0.3, 8.0), "IV": (1.0, 15.0)},
}
SITES = 1000
LIMIT = 1e-9


def library(folder):
    """The library's module of velocity pressures, from a folder or from where it is installed."""
    if folder is None:
        spec = importlib.util.find_spec("eurocodepy")
        if spec is None:
            sys.exit("eurocodepy is not installed")
        folder = list(spec.submodule_search_locations)[0]
    path = pathlib.Path(folder) / "ec1" / "wind" / "pressure.py"
    spec = importlib.util.spec_from_file_location("pressure", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main():
    program, folder = sys.argv[1], sys.argv[2] if len(sys.argv) > 2 else None
    pressure = library(folder)
    draw = random.Random(1991)
    sites = []
    for _ in range(SITES):
        name = draw.choice(sorted(TERRAINS))
        terrain = draw.choice(sorted(TERRAINS[name]))
        orography = draw.choice([1.0, draw.uniform(1.0, 1.6)])
        sites.append((name, terrain, draw.uniform(18.0, 40.0), orography, draw.uniform(0.5, 200.0)))
    lines = "".join(f"{s},{t},{v!r},{c!r},{z!r}\n" for s, t, v, c, z in sites)
    answer = subprocess.run([program], input=lines, capture_output=True, text=True, check=True, timeout=120)
    found = [tuple(map(float, line.split(","))) for line in answer.stdout.splitlines()]
    if len(found) != SITES:
        sys.exit(f"{len(found)} answers for {SITES} sites")
    worst = 0.0
    for (name, terrain, v, co, z), numbers in zip(sites, found):
        z_0, z_min = TERRAINS[name][terrain]
        cr = pressure.c_r(z, z_min, z_0, 0.05)
        vm = pressure.v_m(z, pressure.v_b(v), cr, co)
        iv = pressure.I_v(z, z_min, z_0, co)
        qp = pressure.q_p(z, pressure.v_b(v), z_min, z_0, cr, co)
        for expected, number in zip((qp, vm, iv), numbers):
            worst = max(worst, abs(number - expected) / abs(expected))
    print(f"{SITES} sites, greatest relative difference {worst:.1e}")
    if not worst <= LIMIT:
        sys.exit(f"more than {LIMIT}")


if __name__ == "__main__":
    main()
