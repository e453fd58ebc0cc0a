"""Boards, cuts and time of the setting-out against a general solver (CP-SAT), on small single facades in one run on one core.

    python3 -m venv venv && venv/bin/pip install -r tests/speed/setting-out/requirements.txt
    venv/bin/python tests/speed/setting-out/compare.py [--seconds 60] [--grid 100 50] [--program FILE] [--only WORD] [--log]

Without `--program` it builds and runs the example `setting_out_speed` through cargo, which writes the facades and our answers. Exit 1: something
could not be run; the results never change the exit status.

The model is ours, written so that a general solver does well at it. It chooses joints and cuts together:

- Each course is a path from one end of a run to the other over the joint places of a grid; an arc is a piece. Kept: stagger, least piece
  width, longest piece, keep-out from jambs in courses where a jamb ends, and one notched board around each corner of an opening.
- Boards are cut by guillotine in any number of stages: a flow of rectangles from whole boards through crosscuts and rips to pieces, with kerf.
  Like rectangles are counted, not named, so there is no symmetry of boards to search. Pieces turn by a quarter where the board allows it.
- What is cut out of a notched piece is stock, like every other leftover.
- First fewest boards; then, with the number of boards held, fewest cuts for a third of the time. A notch is two cuts, or three in mid-piece.

Simplified, against what our engine has to do:

- Joints on the grid (ours: 1 mm), by default on one of 100 mm and again on one of 50 mm: the finer allows more, the coarser is a quarter of
  the work. Rules are rounded up to it: on 100 mm a stagger of 250 is one of 300 and a least width of 150 is one of 200. So a bound that the
  solver proves holds for this grid and these course lines only, and ours may pass below it.
- Course lines are given: whole courses from the bottom, the last one ripped (ours chooses them).
- One rectangular wall with free ends: no corners, gables, plinths, cracks or joints; no opening smaller than a board.
- The order in which a board is cut, the numbers of pieces and usable leftovers are not part of the model.

The kerf of the facades is none, because on a grid any kerf would cost the solver a whole step; ours is given the same.
Times and limits are processor time, so that others on the machine do not count: ours best of three, the solver's the time until it first had
its best number of boards, and the whole of its first stage. Building the model and the second stage are not counted in the ratios.
"""

import argparse
import itertools
import json
import os
import pathlib
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict

try:
    from ortools.sat.python import cp_model
except ImportError:
    sys.exit("compare: no module ortools; install requirements.txt beside this file")

ROOT = pathlib.Path(__file__).resolve().parents[3]


def facades(program):
    """The facades, with our answers timed on this core."""
    run = [program] if program else ["cargo", "run", "--quiet", "--release", "-p", "tests", "--example", "setting_out_speed", "--"]
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "facades.json")
        subprocess.run([*run, "--export", path], check=True, cwd=None if program else ROOT)
        with open(path, encoding="utf-8") as file:
            return json.load(file)


class Wall:
    """A facade cut into courses and, along the grid, into columns of equal profile."""

    def __init__(self, facade, grid):
        self.facade, self.grid = facade, grid
        self.length, self.height = facade["board_mm"]
        self.width, top = facade["size_mm"]
        self.places = range(0, self.width + 1, grid)
        lines = [*range(0, top, self.height), top]
        self.courses = list(itertools.pairwise(lines))
        clear = facade["course_line_clear_mm"]
        for x, y, w, h in facade["openings_mm"]:
            if any(v % grid for v in (x, w)) or self.width % grid:
                raise ValueError(f"{facade['name']}: not on the grid of {grid} mm")
            for level in (y, y + h):
                if 0 < level < top and any(0 < abs(level - line) < clear for line in lines):
                    raise ValueError(f"{facade['name']}: whole courses from the bottom pass too near an opening's edge")

    def solid(self, course, x):
        """What is covered in the column that begins at x: (from, to), or None within an opening."""
        bottom, top = self.courses[course]
        for ox, oy, ow, oh in self.facade["openings_mm"]:
            if not ox <= x < ox + ow or oy >= top or oy + oh <= bottom:
                continue
            if oy > bottom and oy + oh < top:
                raise ValueError(f"{self.facade['name']}: an opening within one course is not modelled")
            bottom, top = (bottom, oy) if oy > bottom else (oy + oh, top)
        return (bottom, top) if bottom < top else None

    def runs(self, course):
        """Ends of the stretches without a gap."""
        ends, start = [], None
        for x in self.places:
            here = x < self.width and self.solid(course, x) is not None
            if here and start is None:
                start = x
            elif not here and start is not None:
                ends.append((start, x))
                start = None
        return ends

    def joint_allowed(self, course, x):
        """Keep-out from the jambs that end in this course."""
        bottom, top = self.courses[course]
        for ox, oy, ow, oh in self.facade["openings_mm"]:
            ends_here = bottom < oy < top or bottom < oy + oh < top
            if ends_here and min(abs(x - ox), abs(x - ox - ow)) < self.facade["opening_keep_out_mm"]:
                return False
        return True

    def piece(self, course, left, right):
        """Width and height of the rectangle around a piece, what its notches leave, and the cuts of the notches."""
        parts = [self.solid(course, x) for x in range(left, right, self.grid)]
        height = max(p[1] for p in parts) - min(p[0] for p in parts)
        notches, cuts, x = [], 0, left
        for low, same in itertools.groupby(height - (p[1] - p[0]) for p in parts):
            wide = self.grid * len(list(same))
            if low > 0:
                sides = (x > left) + (x + wide < right)
                kerf = self.facade["kerf_mm"]
                notches.append((wide - sides * kerf, low - kerf))
                cuts += 1 + sides
            x += wide
        return (right - left, height), notches, cuts


class Model:
    """Joints and cutting of one wall."""

    def __init__(self, wall):
        self.wall, self.facade = wall, wall.facade
        self.model = cp_model.CpModel()
        self.pieces = []  # course, left, right, variable
        self.joints = [{} for _ in wall.courses]
        self.wanted, self.found = defaultdict(list), defaultdict(list)
        self.cuts = []
        for course in range(len(wall.courses)):
            for run in wall.runs(course):
                self.lay(course, *run)
        for course in range(len(wall.courses) - 1):
            self.stagger(course)
        self.boards = self.model.new_int_var(self.facade["lb_area"], 4 * self.facade["lb_area"], "boards")
        self.cut()

    def lay(self, course, start, end):
        """A path from one end of a run to the other."""
        wall, least = self.wall, self.facade["min_piece_width_mm"]
        places = [x for x in wall.places if start < x < end and wall.joint_allowed(course, x)]
        places = [start, *places, end]
        into, out = defaultdict(list), defaultdict(list)
        for left in places:
            for right in places:
                if not least <= right - left <= wall.length:
                    continue
                used = self.model.new_bool_var("")
                self.pieces.append((course, left, right, used))
                out[left].append(used)
                into[right].append(used)
                size, notches, cuts = wall.piece(course, left, right)
                self.wanted[self.turned(size)].append(used)
                for notch in notches:
                    self.found[notch].append(used)
                if cuts:
                    self.cuts.append(cuts * used)
        self.model.add_exactly_one(out[start])
        self.model.add_exactly_one(into[end])
        for x in places[1:-1]:
            joint = self.model.new_bool_var("")
            self.model.add(sum(into[x]) == joint)
            self.model.add(sum(out[x]) == joint)
            self.joints[course][x] = joint

    def stagger(self, course):
        """No two joints that meet a course line from both sides nearer than the stagger: as cliques, because joints of one course exclude
        each other within the least width anyway."""
        wall, grid = self.wall, self.wall.grid
        line = wall.courses[course][1]
        stagger, least = self.facade["stagger_mm"], self.facade["min_piece_width_mm"]
        steps, window = -(-stagger // grid), max(1, min(-(-least // grid), -(-stagger // grid)))

        def meeting(of, x, side):
            places = range(x, x + window * grid, grid)
            return [self.joints[of][p] for p in places if p in self.joints[of] and wall.solid(of, p)[side] == line]

        for x in range((1 - steps) * grid, wall.width, grid):
            for shift in {steps - window, window - steps}:
                below, above = meeting(course, x, 1), meeting(course + 1, x + shift * grid, 0)
                if below and above:
                    self.model.add_at_most_one(below + above)

    def turned(self, size):
        """Rectangles that may be turned are one kind; otherwise the first side lies along the board."""
        return tuple(sorted(size, reverse=True)) if self.facade["rotation"] else size

    def cut(self):
        """The flow of rectangles from whole boards to pieces."""
        kerf, most = self.facade["kerf_mm"], 4 * self.facade["lb_area"]
        smallest = min(min(size) for size in self.wanted)
        sides = sorted({side for size in self.wanted for side in size} if self.facade["rotation"] else set())
        lengths = sides or sorted({w for w, _ in self.wanted})
        heights = sides or sorted({h for _, h in self.wanted})
        whole = self.turned((self.wall.length, self.wall.height))
        supply, use = defaultdict(list), defaultdict(list)
        supply[whole].append(self.boards)
        for notch, pieces in self.found.items():
            if min(notch) >= smallest:
                supply[self.turned(notch)] += pieces
        for size, pieces in self.wanted.items():
            use[size] += pieces
        ahead, seen = sorted(supply), set(supply)

        def serves(w, h):
            fits = [(w, h), (h, w)] if self.facade["rotation"] else [(w, h)]
            return any(a >= pw and b >= ph for a, b in fits for pw, ph in self.wanted)

        while ahead:
            w, h = ahead.pop()
            if len(seen) > 5_000:
                raise ValueError(f"{self.facade['name']}: too many kinds of rectangles")
            for at, along in [(a, True) for a in lengths if a < w] + [(b, False) for b in heights if b < h]:
                rest = (w if along else h) - at - kerf
                first = self.turned((at, h) if along else (w, at))
                second = self.turned((rest, h) if along else (w, rest))
                if along and at > rest and rest in lengths or not along and at > rest and rest in heights:
                    continue  # the same cut from the other side
                parts = [p for p in (first, second) if min(p) > 0 and serves(*p)]
                if not parts:
                    continue
                count = self.model.new_int_var(0, most, "")
                self.cuts.append(count)
                use[w, h].append(count)
                for part in parts:
                    supply[part].append(count)
                    if part not in seen:
                        seen.add(part)
                        ahead.append(part)
        for size in use:
            self.model.add(sum(use[size]) <= sum(supply[size]))

    def solve(self, seconds, log):
        """Boards, the bound on them, cuts, and the seconds of processor time to the best count of boards, and in all."""
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.interleave_search = True  # one worker, but by turns all the searches that several would run
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_probing_level = 0  # probing and symmetry took a third of the limit and gave nothing
        solver.parameters.symmetry_level = 0
        solver.parameters.log_search_progress = log
        self.model.minimize(self.boards)
        begin, first = time.process_time(), FirstSeen()
        status = run(solver, self.model, seconds, first)
        took = time.process_time() - begin
        if status == cp_model.MODEL_INVALID:
            raise ValueError(f"{self.facade['name']}: {self.model.validate()}")
        answer = dict.fromkeys(("boards", "bound", "cuts", "until_best", "until_ours")) | {"seconds": took, "pieces": []}
        if status == cp_model.INFEASIBLE:
            return answer
        answer["bound"] = round(solver.best_objective_bound)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return answer
        boards = solver.value(self.boards)
        answer["boards"] = boards
        answer["until_best"] = next(at - begin for count, at in first.seen if count == boards)
        answer["until_ours"] = next((at - begin for count, at in first.seen if count <= self.facade["boards"]), None)
        for index in range(len(self.model.proto.variables)):
            variable = self.model.get_int_var_from_proto_index(index)
            self.model.add_hint(variable, solver.value(variable))
        self.model.add(self.boards <= boards)
        self.model.minimize(sum(self.cuts))
        if run(solver, self.model, seconds / 3) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            answer["cuts"] = round(solver.objective_value)
            answer["pieces"] = [p[:3] for p in self.pieces if solver.value(p[3])]
        return answer


def run(solver, model, seconds, seen=None):
    """Solves within so many seconds of processor time."""
    begin, done = time.process_time(), threading.Event()

    def watch():
        while not done.wait(0.1):
            if time.process_time() - begin > seconds:
                solver.stop_search()

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        return solver.solve(model, seen)
    finally:
        done.set()
        watcher.join()


class FirstSeen(cp_model.CpSolverSolutionCallback):
    """When each count of boards was first reached."""

    def __init__(self):
        super().__init__()
        self.seen = []

    def on_solution_callback(self):
        self.seen.append((round(self.objective_value), time.process_time()))


def check(wall, pieces):
    """That the joints the solver found keep the rules, from the millimetres and not from the model."""
    facade, joints = wall.facade, []
    area = wall.width * facade["size_mm"][1] - sum(w * h for _, _, w, h in facade["openings_mm"])
    for course in range(len(wall.courses)):
        row = sorted((left, right) for c, left, right in pieces if c == course)
        assert all(facade["min_piece_width_mm"] <= b - a <= wall.length for a, b in row), "a piece too narrow or too long"
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(row)), "pieces overlap"
        joints.append([a[1] for a, b in itertools.pairwise(row) if a[1] == b[0]])
        for left, right in row:
            area -= sum(wall.grid * (p[1] - p[0]) for p in (wall.solid(course, x) for x in range(left, right, wall.grid)))
    assert area == 0, f"{area} mm² are not covered"
    for course, (lower, upper) in enumerate(itertools.pairwise(joints)):
        line = wall.courses[course][1]
        for a, b in itertools.product(lower, upper):
            meet = wall.solid(course, a)[1] == line == wall.solid(course + 1, b)[0]
            assert not meet or abs(a - b) >= facade["stagger_mm"], "joints too near"


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=60.0, help="processor time for the solver's first stage on each facade")
    parser.add_argument("--grid", type=int, nargs="+", default=[100, 50], help="steps of the joint places in mm")
    parser.add_argument("--program", help="the example, already built")
    parser.add_argument("--only", default="", help="facades with this word in the name")
    parser.add_argument("--log", action="store_true", help="print the solver's log")
    options = parser.parse_args()
    if hasattr(os, "sched_setaffinity"):
        core = max(os.sched_getaffinity(0))
        if options.program:
            os.sched_setaffinity(0, {core})
    taken = facades(options.program)
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {core})
    print(
        "| facade | LB_area | grid mm | CP-SAT boards | proven at least | cuts | s to its best | s to our count | s in all "
        "| our boards | cuts | breaches | ms | its best / ours | in all / ours |"
    )
    print("|" + "---|" * 15)
    for facade, grid in itertools.product(taken, options.grid):
        if options.only in facade["name"]:
            wall = Wall(facade, grid)
            theirs = Model(wall).solve(options.seconds, options.log)
            if theirs["pieces"]:
                check(wall, theirs["pieces"])
            print(row(facade, grid, theirs), flush=True)
    return 0


def row(facade, grid, theirs):
    """A line of the table."""

    def show(value, form="{}"):
        return "none" if value is None else form.format(value)

    ours, best = facade["seconds"], theirs["until_best"]
    return (
        f"| {facade['name']} | {facade['lb_area']} | {grid} | {show(theirs['boards'])} | {show(theirs['bound'])} | {show(theirs['cuts'])} "
        f"| {show(best, '{:.2f}')} | {show(theirs['until_ours'], '{:.2f}')} | {theirs['seconds']:.1f} "
        f"| {facade['boards']} | {facade['cuts']} | {facade['breaches']} | {ours * 1e3:.1f} "
        f"| {show(best and best / ours, '{:.0f}')} | {theirs['seconds'] / ours:.0f} |"
    )


if __name__ == "__main__":
    try:
        sys.exit(main())
    except (OSError, subprocess.CalledProcessError, ValueError, AssertionError) as error:
        sys.exit(f"compare: {error}")
