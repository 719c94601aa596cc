"""What `aumbry diff` says is to be done, done to the old part's solid: it gives the new part's solid.

Designs are the examples with figures changed; both revisions and the comparison are read from the binary.
"""

import collections
import functools
import itertools
import json
import pathlib
import re
import shutil
import tempfile
import unittest
from fractions import Fraction

import outputs
import solids
from solids import AXES, FACES

# Figures are rounded to 0.000001 mm, over a board of some square metres: a few cubic millimetres. The smallest
# hole, 2.5 mm wide and 5 deep, is 24.
MOST_APART = 5.0
# Nothing reaches further, in mm.
FAR = 100_000

# Which example, and what is replaced in it by what.
MUTANTS = [
    ("bookcase", r"depth: 300mm", "depth: 275mm"),
    ("bookcase", r"width: 800mm", "width: 760mm"),
    ("bookcase", r"shelves: 4", "shelves: 5"),
    ("bookcase", r"height: 1400mm", "height: 1300mm"),
    ("bookcase", r"depth: 300mm", "depth: 320mm"),
    ("bookcase_inch", r"48in", "46 1/2in"),
    ("divided_box", r"width: \d+mm", "width: 870mm"),
    ("divided_box", r"height: \d+mm", "height: 690mm"),
    ("drawer", r"\b(\d\d\d)mm", "397mm"),
    ("drawer_bank", r"width: \d+mm", "width: 480mm"),
    ("drawer_bank", r"reveal: 3mm", "reveal: 4mm"),
    ("floor_box", r"width: \d+mm", "width: 570mm"),
    ("floor_box", r"depth: \d+mm", "depth: 540mm"),
    ("hung_box", r"width: \d+mm", "width: 640mm"),
    ("hung_box", r"height: \d+mm", "height: 600mm"),
    ("own_types", r"(\d\d\d)mm", "390mm"),
    ("pigeonhole", r"width: \d+mm", "width: 700mm"),
    ("pigeonhole", r"depth: \d+mm", "depth: 180mm"),
    ("sink_wall", r"width: (\d\d\d)mm", "width: 560mm"),
    ("studio", r"width: 600mm", "width: 580mm"),
    ("studio", r"set_in: \d+mm", "set_in: 25mm"),
    ("studio", r"share, share, share", "share, share"),
    ("studio", r"reveal: \d+mm", "reveal: 4mm"),
    ("tall_box", r"width: \d+mm", "width: 570mm"),
    ("tall_box", r"height: \d+mm", "height: 1950mm"),
    ("packing_room", r"width: \d+mm", "width: 555mm"),
]


def exact(text):
    return json.loads(text, parse_float=Fraction, parse_int=Fraction)


class Revision:
    """A design as the binary reads it."""

    def __init__(self, path):
        self.path = path
        self.job = exact(outputs.run("job", path))
        boxes = {box["path"]: box for box in self.job["boxes"]}
        self.parts = {entry["path"]: solids.Part(entry, boxes) for entry in self.job["parts"]}


@functools.cache
def example(name):
    return Revision(outputs.EXAMPLES / f"{name}.aum")


@functools.cache
def pairs():
    """The revisions that compile, each with the example it was made from and what is said of the two."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for n, (name, pattern, new) in enumerate(MUTANTS):
            text = (outputs.EXAMPLES / f"{name}.aum").read_text(encoding="utf-8")
            changed = re.sub(pattern, new, text, count=1)
            if changed == text:
                continue
            # Examples use each other.
            place = pathlib.Path(folder) / str(n)
            shutil.copytree(outputs.EXAMPLES, place)
            path = place / f"{name}.aum"
            path.write_text(changed, encoding="utf-8")
            if outputs.run("check", path, check=False).returncode == 0:
                found.append((name, new, example(name), Revision(path), comparison(example(name).path, path)))
    return found


def comparison(old, new):
    done = outputs.run("diff", old, new, "--as", "json", "--within", "0.001mm", check=False)
    if done.returncode not in (0, 1):
        raise AssertionError(done.stderr)
    (design,) = exact(done.stdout)["designs"]
    return design["comparison"]


def low(part):
    return [a for a, _ in part.ranges]


class Piece:
    """An old piece laid into the frame of the new part, while it is worked; placed where the new part is."""

    def __init__(self, old, new, laid):
        self.old, self.new = old, new
        self.corner = low(new)
        self.extent = [[a, a + s] for a, s in zip(laid["at"], laid["size"])]
        turn = (1, 1, -1)
        self.matrix = [[0.0] * 4 for _ in range(3)]
        order = [AXES.index(a) for a in laid["axes"]]
        for i, (axis, turned) in enumerate(zip(order, laid["turned"])):
            sign = -1 if turned else 1
            at = self.corner[i] + laid["at"][i]
            at += laid["size"][i] + low(old)[axis] if turned else -low(old)[axis]
            self.matrix[i][axis] = float(sign * turn[i] * turn[axis])
            self.matrix[i][3] = float(at) * turn[i]
        swaps = sum(a > b for a, b in itertools.combinations(order, 2))
        assert (swaps + sum(laid["turned"])) % 2 == 0, "a reflection"
        self.order, self.turned = order, laid["turned"]
        self.solid = old.bench_solid.transform(self.matrix)
        self.bands = {self.face(face): band for face, band in old.entry["bands"].items()}

    def face(self, name):
        axis, end = FACES[name]
        to = self.order.index(AXES.index(axis))
        end = 1 - end if self.turned[to] else end
        return next(n for n, f in FACES.items() if f == (AXES[to], end))

    def block(self, ranges):
        """A block of the new part's frame."""
        return solids.block([(a + c, b + c) for (a, b), c in zip(ranges, self.corner)])

    def slab(self, axis, start, end):
        ranges = [(-FAR, FAR)] * 3
        ranges[axis] = (start, end)
        return self.block(ranges)

    def work(self, work):
        kind = work["kind"]
        axis, end = FACES[work["face"]]
        axis = AXES.index(axis)
        getattr(self, kind)(work, axis, end)

    def off(self, axis, end, line):
        self.extent[axis][end] = line
        self.solid -= self.slab(axis, *((line, FAR) if end else (-FAR, line)))

    def trim(self, work, axis, end):
        assert abs(self.extent[axis][end] - work["line"]) == work["off"], "the line is off the edge by `off`"
        assert self.bands.pop(work["face"], None) == work.get("band")
        assert self.face(work["old_face"]) == work["face"]
        self.off(axis, end, work["line"])

    def strip(self, work, axis, end):
        assert self.bands.pop(work["face"]) == work["band"]
        line = self.extent[axis][end] + (-1 if end else 1) * work["thickness"]
        self.off(axis, end, line)

    def plug(self, work, axis, _):
        hole = next(h for h in self.old.holes if h.entry["id"] == work["id"])
        assert self.face(hole.entry["face"]) == work["face"]
        plug = hole.solid().transform(self.matrix)
        self.solid += plug ^ self.slab(axis, *work["span"]) ^ self.block(self.extent)

    def band(self, work, axis, end):
        ranges = [(Fraction(0), b - a) for a, b in self.new.ranges]
        edge = self.extent[axis][end]
        ranges[axis] = (edge, edge + work["thickness"]) if end else (edge - work["thickness"], edge)
        self.extent[axis][end] = ranges[axis][end]
        self.bands[work["face"]] = work["band"]
        if work["thickness"]:
            self.solid += self.block(ranges)

    def drill(self, work, *_):
        self.solid -= solids.Hole(self.new.entry, work).solid()

    def cut(self, work, *_):
        ranges = [(a + c, b + c) for (a, b), c in zip(solids.extents(work["box"]), self.corner)]
        self.solid -= solids.Slot(ranges, work).solid() if "dia" in work else solids.block(ranges)

    def bevel(self, work, *_):
        self.solid -= solids.Bevel(self.new.entry, work).solid()


def apart(a, b):
    return (a - b).volume() + (b - a).volume()


class Rework(unittest.TestCase):
    def test_the_work_gives_the_new_part(self):
        done = collections.Counter()
        mutants = 0
        for name, change, old, new, said in pairs():
            mutants += 1
            taken = set()
            for part in said["parts"]:
                rework = part.get("rework") or part.get("offer")
                if rework is None:
                    continue
                wanted, piece = new.parts[part["new"]["path"]], old.parts[rework["of"]]
                self.assertNotIn(rework["of"], taken)
                taken.add(rework["of"])
                if piece.entry["thickness"] != wanted.entry["thickness"] or rework.get("within"):
                    done["left"] += 1
                    continue
                with self.subTest(design=name, change=change, part=wanted.path, of=piece.path):
                    laid = Piece(piece, wanted, rework["laid"])
                    for work in rework["works"]:
                        laid.work(work)
                        done[work["kind"]] += 1
                    self.assertLess(apart(laid.solid, wanted.bench_solid), MOST_APART)
                    self.assertEqual(laid.bands, wanted.entry["bands"])
                    done["parts"] += 1
                    # Without the last thing done, it is another solid or bears another band.
                    if rework["works"]:
                        less = Piece(piece, wanted, rework["laid"])
                        for work in rework["works"][:-1]:
                            less.work(work)
                        same = apart(less.solid, wanted.bench_solid) < MOST_APART and less.bands == laid.bands
                        self.assertFalse(same, "a needless work")
        self.assertGreaterEqual(mutants, 12)
        self.assertGreaterEqual(done["parts"], 60, done)
        for kind in ("trim", "band", "plug", "drill", "cut"):
            self.assertGreaterEqual(done[kind], 5, done)

    def test_what_is_called_unchanged_is_the_same_solid(self):
        count = 0
        for name, change, old, new, said in pairs():
            for part in said["parts"]:
                if part["verdict"] in ("unchanged", "moved", "renamed") and "rework" not in part:
                    a, b = old.parts[part["old"]["path"]], new.parts[part["new"]["path"]]
                    by = [float(q - p) * t for p, q, t in zip(low(a), low(b), (1, 1, -1))]
                    self.assertLess(apart(a.bench_solid.translate(by), b.bench_solid), MOST_APART, b.path)
                    count += 1
        self.assertGreaterEqual(count, 60)

    def test_what_is_remade_does_not_lie_in_the_old_piece(self):
        """For a part that would have to grow: the new wood, laid flush either way, is not within the old."""
        count = 0
        for name, change, old, new, said in pairs():
            for part in said["parts"]:
                if part["verdict"] != "remake" or {r["code"] for r in part["reasons"]} != {"grows"}:
                    continue
                a, b = old.parts[part["old"]["path"]].entry, new.parts[part["new"]["path"]].entry
                sizes = lambda e: [e["cut"]["length"], e["cut"]["width"]]
                fits = lambda p, q: all(x >= y for x, y in zip(p, q))
                self.assertFalse(fits(sizes(a), sizes(b)), b["path"])
                if b["grain"] == "none":
                    self.assertFalse(fits(sizes(a)[::-1], sizes(b)), b["path"])
                count += 1
        self.assertGreaterEqual(count, 5)


if __name__ == "__main__":
    unittest.main()
