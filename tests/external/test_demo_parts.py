"""The parts list of the demo wall, worked out a second time.

Everything here is a cabinet maker's own arithmetic on the figures that stand in `examples/studio.aum` and on the rules that
the library states in words: which parts a box has, what goes between what, how far a back is let in, what a slide takes. It
reads nothing of the compiler but the list it wrote, and agrees to a tenth of a millimetre.
"""

import csv
import io
import unittest
from collections import Counter
from fractions import Fraction as F
from math import ceil, floor

from outputs import EXAMPLES, listing

T = F("16.2")  # the white board as measured
BACK = F(3)
BITE = F(7)  # how far a back goes into its grooves
BAND = F(1)  # edging, taken off before it is glued on
REVEAL = F(3)
PLY = F(12)  # drawer sides


class Parts:
    """Sizes are along the grain by across; a board without grain is compared with its longer side first."""

    def __init__(self):
        self.found = Counter()

    def add(self, board, length, width, thickness, quantity=1, bands=0, ends=0):
        """`bands` on the long edges shorten the width, `ends` on the short ones the length, each by one band."""
        sizes = (length, width, length - ends * BAND, width - bands * BAND)
        self.found[(board, tenths(thickness), *map(tenths, sizes))] += quantity


def tenths(mm):
    """A size to the tenth, halves upwards, as a rule is read."""
    return floor(F(mm) * 10 + F(1, 2))


def box_of_boards(parts, w, h, d, back_height):
    """Sides, and what every box has: its back let into both sides."""
    parts.add("white16", h, d, T, 2, bands=1)
    long, short = max(w - 2 * T + 2 * BITE, back_height), min(w - 2 * T + 2 * BITE, back_height)
    parts.add("white3", long, short, BACK)


def floor_box(parts, w):
    h, d, rail = F(720), F(560), F(100)
    # the back goes from the groove in the bottom up to the top edge of the sides
    box_of_boards(parts, w, h, d, h - T + BITE)
    parts.add("white16", w - 2 * T, d, T, 1, bands=1)
    parts.add("white16", w - 2 * T, rail, T, 1, bands=1)
    parts.add("white16", w - 2 * T, rail, T, 1)


def drawers(parts, w, portions):
    """A bank over the whole front: fronts from the top, half a reveal at the box's own edges."""
    h = F(720)
    room = (T, h - T)  # from the bottom board to the front rail
    front_w, total = w - REVEAL, h - REVEAL - (len(portions) - 1) * REVEAL
    fixed = sum(p for p in portions if isinstance(p, F))
    unit = (total - fixed) / sum(p for p in portions if not isinstance(p, F))
    slide = max(s for s in (250, 300, 350, 400, 450, 500, 550) if s <= 560 - 18 - BACK - 8)
    top = h - REVEAL / 2
    for p in portions:
        height = p if isinstance(p, F) else p * unit
        low = top - height
        parts.add("white16", front_w, height, T, 1, bands=2, ends=2)
        # the drawer starts whole millimetres above the floor of the box, 12 over its share of the room, 16 under the next
        bay = (max(low, room[0]), min(top, room[1]))
        start = room[0] + floor(bay[0] - room[0] + 12)
        tall = floor(bay[1] - 16 - start)
        wide = w - 2 * T - 2 * 13  # 13 mm for each slide
        parts.add("white16", wide, F(slide), T, 1)
        parts.add("ply12", F(slide), tall - T, PLY, 2)
        parts.add("ply12", wide - 2 * PLY, tall - T, PLY, 2)
        top = low - REVEAL


def hung_box(parts, w):
    h, d = F(700), F(320)
    box_of_boards(parts, w, h, d, h - 2 * T + 2 * BITE)
    parts.add("white16", w - 2 * T, d, T, 2, bands=1)
    parts.add("white16", w - 2 * T, F(110), T, 1)
    parts.add("white16", w - 2 * T - 4, F(90), T, 1)  # its cleat, 2 mm free at each side


def plinth(parts, length):
    tall = F(110 - 30)
    deep = F(560) - 60  # behind the toe recess
    crosses = max(2, ceil((length - T) / 600) + 1)
    parts.add("white16", length, tall, T, 2)
    parts.add("white16", deep - 2 * T, tall, T, crosses)
    parts.add("white16", deep - 2 * T, 90 - T, T, crosses)


def demo():
    parts = Parts()
    wall = min(F(2912), F(2908), F(2905))
    share = F(floor((wall - 30 - 760 - 600) / 2))
    upper = F(floor(wall / 4))
    floor_box(parts, share)
    drawers(parts, share, [1, 1, 2])
    floor_box(parts, share)
    drawers(parts, share, [F(120), 1, 1, 2])
    floor_box(parts, F(600))
    # two shelves, 1 mm free at each side, 20 mm behind the front and 2 mm before the back
    parts.add("white16", 600 - 2 * T - 2, 560 - 18 - BACK - 20 - 2, T, 2, bands=1)
    # two doors with a reveal between them
    parts.add("white16", 720 - REVEAL, (600 - REVEAL - REVEAL) / 2, T, 2, bands=2, ends=2)
    for _ in range(4):
        hung_box(parts, upper)
    plinth(parts, share)
    plinth(parts, share + 600)
    for length in (share, share + 600):
        parts.add("ash27", length, F(560 + 25), F(27))
    parts.add("ash27", F(760 - 4), F(560), F(27))
    parts.add("white16", F(560 - 40), F(60), T, 2)
    for tall in (140, 90):
        parts.add("joist38", F(2550), F(tall), F(38))
    parts.add("white16", F(720), F(30 + 8), T)
    parts.add("white16", F(720 - 40), F(60), T)
    return parts.found


def turned(key):
    """A board without grain: the longer side first."""
    board, thickness, a, b, cut_a, cut_b = key
    if board.startswith("white") and a < b:
        return board, thickness, b, a, cut_b, cut_a
    return key


class DemoWall(unittest.TestCase):
    def test_the_parts_are_those_of_a_makers_own_arithmetic(self):
        text = listing("parts", EXAMPLES / "studio.aum").decode("utf-8")
        rows = list(csv.DictReader(io.StringIO(text, newline="")))
        listed = Counter()
        for row in rows:
            sizes = [row[k] for k in ("length_mm", "width_mm", "cut_length_mm", "cut_width_mm")]
            key = (row["board"], tenths(F(row["thickness_mm"])), *(tenths(F(s)) for s in sizes))
            listed[turned(key)] += int(row["quantity"])
        expected = Counter()
        for key, quantity in demo().items():
            expected[turned(key)] += quantity
        self.assertEqual(sum(listed.values()), sum(expected.values()))
        self.assertGreaterEqual(sum(expected.values()), 110)
        self.assertEqual(listed - expected, Counter(), "listed and not expected")
        self.assertEqual(expected - listed, Counter(), "expected and not listed")


if __name__ == "__main__":
    unittest.main()
