"""U, monthly moisture and dynamics of many walls: the batch of `thermal` against numpy, as a ratio in one run on one core, by processor time.

    cargo build --release -p tests --example thermal_batch
    python3 tests/speed/thermal/compare.py target/release/examples/thermal_batch

Needs numpy. Two numpy programs are compared: one that takes wall after wall and uses arrays within a wall, and one that goes over all walls
at once wherever it can (transmittance, dynamics, the test whether a wall gathers moisture at all) and takes only wet walls one
by one. Every time is the best of several runs. Both are checked against the answers of the batch before any ratio is printed.
"""

import subprocess
import sys
import tempfile
import time

import numpy as np

RSI, RSE = 0.13, 0.04
CELSIUS = np.array([-1, 0, 4, 9, 14, 18, 19, 19, 15, 10, 5, 1.0])
HUMIDITY = np.array([0.85, 0.84, 0.78, 0.72, 0.68, 0.69, 0.73, 0.75, 0.79, 0.83, 0.88, 0.88])
SECONDS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) * 86400.0
INSIDE, EXCESS, DELTA, DAY = 20.0, 810.0, 2e-10, 86400.0


def saturation(t):
    return np.where(
        t >= 0,
        610.5 * np.exp(17.269 * t / (237.3 + t)),
        610.5 * np.exp(21.875 * t / (265.5 + t)),
    )


P_E = HUMIDITY * saturation(CELSIUS)
P_I = P_E + 1.1 * EXCESS * np.clip((20.0 - CELSIUS) / 20.0, 0, 1)


def make(count, seed):
    """Plaster, masonry, board, finish; half of the finishes are dense enough to make trouble."""
    rng = np.random.default_rng(seed)

    def column(low, high):
        return rng.uniform(low, high, count)

    plaster = [column(0.01, 0.02), column(0.3, 0.8), column(6, 15), column(900, 1800), column(900, 1100)]
    masonry = [column(0.15, 0.40), column(0.15, 1.2), column(5, 30), column(600, 2200), column(900, 1050)]
    board = [column(0.04, 0.24), column(0.030, 0.042), column(1, 60), column(15, 150), column(1000, 1500)]
    finish = [column(0.005, 0.012), column(0.6, 1.0), 10 ** column(1, 2.7), column(1500, 1900), column(900, 1100)]
    return np.stack([np.stack(layer, axis=1) for layer in (plaster, masonry, board, finish)], axis=1)


def transmittance(walls):
    """Walls as (n, layers, 5) or (layers, 5)."""
    total = RSI + (walls[..., 0] / walls[..., 1]).sum(axis=-1) + RSE
    return total, 1 / total


def dynamics(walls):
    d, lam, _, rho, c = np.moveaxis(walls, -1, 0)
    delta = np.sqrt(lam * DAY / (np.pi * rho * c))
    xi = d / delta
    sh, ch, sn, cs = np.sinh(xi), np.cosh(xi), np.sin(xi), np.cos(xi)
    z11 = ch * cs + 1j * sh * sn
    z12 = -delta / (2 * lam) * (sh * cs + ch * sn + 1j * (ch * sn - sh * cs))
    z21 = -lam / delta * (sh * cs - ch * sn + 1j * (sh * cs + ch * sn))
    layers = np.stack([np.stack([z11, z12], -1), np.stack([z21, z11], -1)], -2)
    z = np.array([[1, -RSI], [0, 1]], dtype=complex)
    for k in range(walls.shape[-2]):
        z = layers[..., k, :, :] @ z
    z = np.array([[1, -RSE], [0, 1]], dtype=complex) @ z
    z11, z12, z22 = z[..., 0, 0], z[..., 0, 1], z[..., 1, 1]
    angle = np.angle(-1 / z12)
    angle = np.where(angle > 0, angle - 2 * np.pi, angle)
    hours = DAY / (2 * np.pi) / 3600
    kappa = DAY / (2 * np.pi)
    return (
        np.abs(1 / z12),
        hours * angle,
        np.abs(z11 / z12),
        np.abs(z22 / z12),
        kappa * np.abs((z11 - 1) / z12),
        kappa * np.abs((z22 - 1) / z12),
    )


def points(wall, total):
    """Air layers and shares of the resistance at interfaces and subdivisions."""
    r, s = wall[:, 0] / wall[:, 1], wall[:, 0] * wall[:, 2]
    pieces = np.maximum(1, np.ceil(r / 0.25 * (1 - 1e-12))).astype(int)
    weight = 1 / np.repeat(pieces, pieces)
    at_s = np.concatenate([[0], np.cumsum(np.repeat(s, pieces) * weight)])
    at_r = np.concatenate([[0], np.cumsum(np.repeat(r, pieces) * weight)])
    return at_s, (RSI + at_r) / total


def string(s, p, wet):
    """The taut string under the saturation curve, held at wet planes; its bends and the rates there."""
    bends, held = [], 0
    last = len(s) - 1
    for k in range(len(s)):
        while len(bends) - 1 > held:
            a, b = bends[-2], bends[-1]
            if (p[b] - p[a]) * (s[k] - s[a]) < (p[k] - p[a]) * (s[b] - s[a]):
                break
            bends.pop()
        bends.append(k)
        if 0 < k < last and wet[k]:
            held = len(bends) - 1
    rates = {}
    for a, c, b in zip(bends, bends[1:], bends[2:]):
        rates[c] = DELTA * ((p[a] - p[c]) / (s[c] - s[a]) - (p[c] - p[b]) / (s[b] - s[c]))
    return rates


def moisture(wall, total):
    s, share = points(wall, total)
    t = INSIDE - (INSIDE - CELSIUS)[:, None] * share
    p = saturation(t)
    p[:, 0] = np.minimum(p[:, 0], P_I)
    p[:, -1] = np.minimum(p[:, -1], P_E)
    line = p[:, :1] - (p[:, :1] - p[:, -1:]) * (s / s[-1])
    suspect = (line[:, 1:-1] >= p[:, 1:-1]).any(axis=1)
    if not suspect.any():
        return 0.0, 0.0, 0
    s, p = s.tolist(), p.tolist()
    dry = [False] * len(s)
    gathers = [
        bool(suspect[m]) and any(g * SECONDS[m] > 1e-9 for g in string(s, p[m], dry).values()) for m in range(12)
    ]
    if not any(gathers):
        return 0.0, 0.0, 0
    best = (0, 0)
    for m in range(12):
        if gathers[m]:
            back = 0
            while back < 11 and not gathers[(m - back - 1) % 12]:
                back += 1
            if back > best[0]:
                best = (back, m)
    mass, most = [0.0] * len(s), 0.0
    for step in range(12):
        m = (best[1] + step) % 12
        if not gathers[m] and not any(mass):
            continue
        left = SECONDS[m]
        for _ in range(len(s) + 1):
            rates = string(s, p[m], [x > 0 for x in mass])
            span = min([left] + [mass[k] / -g for k, g in rates.items() if g < 0 and mass[k] > 0])
            for k, g in rates.items():
                if mass[k] > 0 or g * SECONDS[m] > 1e-9:
                    after = mass[k] + g * span
                    mass[k] = after if after > 1e-12 else 0.0
            left -= span
            if left <= SECONDS[m] * 1e-12:
                break
        most = max(most, sum(mass))
    left = sum(mass)
    return most, left, 2 if left > 1e-9 else 1


def one_by_one(walls):
    rows = []
    for wall in walls:
        total, u = transmittance(wall)
        factor = 1 - 0.25 / (total - RSI + 0.25)
        rows.append([u, factor, *moisture(wall, total), *dynamics(wall)])
    return np.array(rows, dtype=float)


def all_at_once(walls):
    total, u = transmittance(walls)
    factor = 1 - 0.25 / (total - RSI + 0.25)
    swing = dynamics(walls)
    r, s = walls[..., 0] / walls[..., 1], walls[..., 0] * walls[..., 2]
    pieces = np.maximum(1, np.ceil(r / 0.25 * (1 - 1e-12))).astype(int)
    gathered = np.zeros((len(walls), 3))
    before_s = np.concatenate([np.zeros((len(walls), 1)), np.cumsum(s, axis=1)], axis=1)
    before_r = RSI + np.concatenate([np.zeros((len(walls), 1)), np.cumsum(r, axis=1)], axis=1)
    suspect = np.zeros(len(walls), dtype=bool)
    for month in range(12):
        fall = INSIDE - CELSIUS[month]
        first = np.minimum(P_I[month], saturation(INSIDE - fall * RSI / total))
        last = np.minimum(P_E[month], saturation(INSIDE - fall * (1 - RSE / total)))
        for layer in range(walls.shape[1]):
            for piece in range(1, pieces[:, layer].max() + 1):
                share = np.minimum(1, piece / pieces[:, layer])
                at_s = (before_s[:, layer] + s[:, layer] * share) / before_s[:, -1]
                at_r = (before_r[:, layer] + r[:, layer] * share) / total
                inner = (piece <= pieces[:, layer]) & (at_s < 1 - 1e-12)
                below = first - (first - last) * at_s >= saturation(INSIDE - fall * at_r)
                suspect |= inner & below
    for index in np.flatnonzero(suspect):
        gathered[index] = moisture(walls[index], total[index])
    return np.column_stack([u, factor, gathered, *swing])


def clocked(program, walls):
    """Processor seconds a wall, and the answers."""
    begin = time.process_time()
    answers = program(walls)
    return (time.process_time() - begin) / len(walls), answers


def check(name, ours, theirs):
    for column in range(ours.shape[1]):
        scale = np.maximum(np.abs(ours[:, column]), 1e-6)
        worst = np.max(np.abs(ours[:, column] - theirs[:, column]) / scale)
        assert worst < 1e-6, f"{name}: column {column} differs by {worst}"


def main():
    program = sys.argv[1]
    count, sample = int(sys.argv[2]) if len(sys.argv) > 2 else 100_000, 2_000
    walls = make(count, 1)
    with tempfile.TemporaryDirectory() as folder:
        np.savetxt(f"{folder}/walls.csv", walls.reshape(count, -1), delimiter=",", fmt="%.17g")
        batch = single = together = np.inf
        # The three take turns, so that a busy neighbour on the machine meets them all.
        for _ in range(3):
            said = subprocess.run(
                [program, f"{folder}/walls.csv", f"{folder}/answers.csv"], check=True, capture_output=True, text=True
            )
            batch = min(batch, float(said.stdout) / count)
            took, alone = clocked(one_by_one, walls[:sample])
            single = min(single, took)
            took, theirs = clocked(all_at_once, walls)
            together = min(together, took)
        ours = np.loadtxt(f"{folder}/answers.csv", delimiter=",")
    check("one by one", ours[:sample], alone)
    check("all at once", ours, theirs)
    wet = np.mean(ours[:, 4] > 0)
    print(f"{count} walls, {wet:.0%} of them gather moisture")
    print(f"batch of thermal:        {batch * 1e6:9.2f} us a wall")
    print(f"numpy, wall after wall:  {single * 1e6:9.2f} us a wall, ratio {single / batch:.0f} (on {sample} walls)")
    print(f"numpy, all at once:      {together * 1e6:9.2f} us a wall, ratio {together / batch:.0f}")


if __name__ == "__main__":
    main()
