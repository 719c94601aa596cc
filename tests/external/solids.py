"""Parts as solids, rebuilt from job.json alone and by the words of its schema.

The frame of the job has x to the right, y up and z away from the person looking: a left-handed frame. The
geometry library has a right-handed one, so z is turned round for every point and nothing else is done.

A circle is a regular polygon of 64 sides whose corners lie on the circle, in the solids and in the closed
forms alike.
"""

import functools
import itertools
import math
from fractions import Fraction

import manifold3d as m3
import numpy as np

SIDES = 64
# Area of that polygon for a radius of 1.
POLYGON = SIDES / 2 * math.sin(2 * math.pi / SIDES)

AXES = "xyz"
# Axis of the face's normal, and which end of the part it is at.
FACES = {
    "left": ("x", 0),
    "right": ("x", 1),
    "bottom": ("y", 0),
    "top": ("y", 1),
    "front": ("z", 0),
    "rear": ("z", 1),
}


def extents(cuboid):
    return [tuple(cuboid[a]) for a in AXES]


def world(point):
    """A point of the job in the library's right-handed frame."""
    return [float(point[0]), float(point[1]), -float(point[2])]


def hull(points):
    return m3.Manifold.hull_points(np.array([world(p) for p in points], dtype=np.float64))


def block(ranges):
    return hull(itertools.product(*ranges))


class Hole:
    """A hole placed in the frame of its root: where its axis meets the face, and which way it goes in."""

    def __init__(self, part, entry):
        self.part, self.entry = part, entry
        axis, end = FACES[entry["face"]]
        self.axis = AXES.index(axis)
        self.into = -1 if end else 1
        place = extents(part["place"])
        mouth = [None, None, None]
        mouth[self.axis] = place[self.axis][end]
        for edge, distance in zip(entry["at"]["from"], entry["at"]["mm"]):
            across, side = FACES[edge]
            across = AXES.index(across)
            low, high = place[across]
            mouth[across] = high - distance if side else low + distance
        self.mouth = tuple(mouth)
        self.depth = entry["depth"]
        self.bottom = self.at(self.depth)

    def at(self, depth):
        """The point of the axis at a depth."""
        point = list(self.mouth)
        point[self.axis] += self.into * depth
        return tuple(point)

    def segments(self):
        """Cones and cylinders from the face inwards: from depth, to depth, first and last diameter."""
        start = Fraction(0)
        for step in self.entry["profile"]:
            yield start, step["depth"], step["dia"], step["end_dia"]
            start = step["depth"]
        if start < self.depth:
            yield start, self.depth, self.entry["dia"], self.entry["dia"]

    def ring(self, depth, dia):
        u, v = (a for a in range(3) if a != self.axis)
        centre = self.at(depth)
        for k in range(SIDES):
            angle = 2 * math.pi * k / SIDES
            point = [float(c) for c in centre]
            point[u] += float(dia) / 2 * math.cos(angle)
            point[v] += float(dia) / 2 * math.sin(angle)
            yield point

    def solid(self):
        pieces = [hull([*self.ring(a, d), *self.ring(b, e)]) for a, b, d, e in self.segments()]
        return m3.Manifold.batch_boolean(pieces, m3.OpType.Add)

    def volume(self):
        """Closed form: cylinders and frusta on the polygon."""
        total = 0.0
        for a, b, d, e in self.segments():
            r, s = float(d) / 2, float(e) / 2
            total += POLYGON * float(b - a) * (r * r + r * s + s * s) / 3
        return total

    def bounds(self):
        widest = max(max(d, e) for _, _, d, e in self.segments())
        ranges = [(c - widest / 2, c + widest / 2) for c in self.mouth]
        ranges[self.axis] = tuple(sorted((self.mouth[self.axis], self.bottom[self.axis])))
        return ranges

    def rod(self, dia, start, end):
        """A rod on the hole's axis, between two depths of this hole."""
        return hull([*self.ring(start, dia), *self.ring(end, dia)])


class Bevel:
    """A wedge along an edge: `rise` along the face's normal, `run` along the thickness, away from the long side."""

    def __init__(self, part, entry):
        place = extents(part["place"])
        axis, end = FACES[entry["face"]]
        axis = AXES.index(axis)
        thin, long_end = FACES[entry["long_side"]]
        thin = AXES.index(thin)
        assert AXES[thin] == part["axes"][2], "the long side is a wide face"
        along = ({0, 1, 2} - {axis, thin}).pop()
        edge = place[axis][end]
        back = edge + (-1 if end else 1) * entry["rise"]
        short = place[thin][1 - long_end]
        inside = short + (-1 if 1 - long_end else 1) * entry["run"]
        self.corners = []
        for a in place[along]:
            for p, q in ((edge, short), (back, short), (edge, inside)):
                point = [None, None, None]
                point[along], point[axis], point[thin] = a, p, q
                self.corners.append(tuple(point))
        self.length = place[along][1] - place[along][0]
        self.rise, self.run = entry["rise"], entry["run"]

    def solid(self):
        return hull(self.corners)

    def volume(self):
        return float(self.rise * self.run * self.length / 2)

    def bounds(self):
        return [(min(c[i] for c in self.corners), max(c[i] for c in self.corners)) for i in range(3)]


class Slot:
    """A slot with round ends: the cutter moved from one end to the other."""

    def __init__(self, ranges, entry):
        self.ranges = ranges
        axis = AXES.index(FACES[entry["face"]][0])
        self.along = AXES.index(entry["along"])
        self.across = ({0, 1, 2} - {axis, self.along}).pop()
        self.axis, self.dia = axis, entry["dia"]
        width = ranges[self.across][1] - ranges[self.across][0]
        assert width == self.dia, "as wide as the cutter"

    def solid(self):
        low, high = self.ranges[self.along]
        middle = sum(self.ranges[self.across]) / 2
        points = []
        for end in (low + self.dia / 2, high - self.dia / 2):
            for depth in self.ranges[self.axis]:
                for k in range(SIDES):
                    angle = 2 * math.pi * k / SIDES
                    point = [0.0, 0.0, 0.0]
                    point[self.along] = float(end) + float(self.dia) / 2 * math.cos(angle)
                    point[self.across] = float(middle) + float(self.dia) / 2 * math.sin(angle)
                    point[self.axis] = float(depth)
                    points.append(point)
        return hull(points)

    def volume(self):
        # 64 is a multiple of 4: the polygon is as wide as the circle across the slot.
        low, high = self.ranges[self.along]
        deep = self.ranges[self.axis][1] - self.ranges[self.axis][0]
        area = float((high - low - self.dia) * self.dia) + POLYGON * float(self.dia) ** 2 / 4
        return area * float(deep)

    def bounds(self):
        return self.ranges


def meet(a, b):
    """Whether two sets of ranges share a volume."""
    return all(min(p[1], q[1]) > max(p[0], q[0]) for p, q in zip(a, b))


def union_volume(cuboids):
    """The exact volume of a union of cuboids, by the cells between all their faces."""
    if not cuboids:
        return Fraction(0)
    lines = [sorted({end for c in cuboids for end in c[i]}) for i in range(3)]
    total = Fraction(0)
    for cell in itertools.product(*(list(zip(line, line[1:])) for line in lines)):
        if any(meet(cell, c) for c in cuboids):
            total += math.prod(b - a for a, b in cell)
    return total


class Part:
    def __init__(self, entry, boxes):
        self.entry = entry
        self.path, self.root = entry["path"], entry["root"]
        self.ranges = extents(entry["place"])
        self.holes = [Hole(entry, h) for h in entry["holes"]]
        self.bevels = [Bevel(entry, b) for b in entry["bevels"]]
        # The frame of the part's own box starts at the low corner of that box's place.
        corner = [low for low, _ in extents(boxes[entry["box"]]["place"])]
        self.slots, self.cuts = [], []
        for cut in entry["cuts"]:
            ranges = [(a + c, b + c) for (a, b), c in zip(extents(cut["box"]), corner)]
            if cut.get("dia") is not None:
                self.slots.append(Slot(ranges, cut))
            else:
                self.cuts.append(ranges)

    def size(self, axis):
        low, high = self.ranges[AXES.index(axis)]
        return high - low

    def tools(self, in_place=True):
        """Solids of everything that is taken out."""
        holes = [h for h in self.holes if in_place or h.entry["bored"] == "bench"]
        return [block(c) for c in self.cuts] + [t.solid() for t in [*self.slots, *self.bevels, *holes]]

    def blank(self):
        return block(self.ranges)

    @functools.cached_property
    def solid(self):
        return self.worked(self.tools())

    @functools.cached_property
    def bench_solid(self):
        """The part as it leaves the bench: without what is bored after the parts are together."""
        return self.worked(self.tools(in_place=False))

    def worked(self, tools):
        return m3.Manifold.batch_boolean([self.blank(), *tools], m3.OpType.Subtract) if tools else self.blank()

    @functools.cached_property
    def closed_form(self):
        """The volume by formulas, or none where what is taken out may meet something else that is taken out; plain
        cuts may, their union is exact."""
        others = [*self.slots, *self.bevels, *self.holes]
        bounds = [t.bounds() for t in others]
        for one, two in itertools.combinations(range(len(others)), 2):
            if meet(bounds[one], bounds[two]):
                return None
        for tool in bounds:
            if any(meet(tool, cut) for cut in self.cuts):
                return None
        whole = math.prod(b - a for a, b in self.ranges)
        clipped = [
            [(max(a, low), min(b, high)) for (a, b), (low, high) in zip(cut, self.ranges)] for cut in self.cuts
        ]
        return float(whole - union_volume(clipped)) - sum(t.volume() for t in others)


@functools.cache
def _parts(path):
    import outputs

    job = outputs.job(path)
    boxes = {box["path"]: box for box in job["boxes"]}
    return {entry["path"]: Part(entry, boxes) for entry in job["parts"]}


def parts(path):
    """The parts of a design, by path."""
    return _parts(path)
