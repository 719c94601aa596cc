"""A box without any symmetry, against figures worked out by hand from its text and written here.

The frame: x to the right, y up, z away from the person in front. Every literal below is in it, in mm, counted from
the left-bottom-front corner. The box is 620 wide, 430 high and 275 deep, of 18 mm boards.
"""

import unittest

import outputs
import solids
from solids import hull, parts

# Part, where the axis meets the face, the way the hole goes in, diameter, depth.
LEFT_HAND = {
    # Three pegs in the right face of the left side, which is at x = 18.
    ("left", (18, 100, 50), (-1, 0, 0), 8, 11),
    ("left", (18, 300, 50), (-1, 0, 0), 8, 11),
    ("left", (18, 100, 200), (-1, 0, 0), 5, 9),
    # A lamp in the left face of the right side, at x = 620 - 18.
    ("right", (602, 350, 90), (1, 0, 0), 6, 12),
    # A cable through the divider, from its left face at x = 210; a stop in its front edge.
    ("divider", (210, 333, 222), (1, 0, 0), 10, 18),
    ("divider", (219, 77, 0), (0, 0, 1), 3, 20),
    # A latch in the underside of the top, at y = 430 - 18.
    ("top", (70, 412, 33), (0, 1, 0), 4, 7),
    # Screws, two a seam: 275 deep, 60 in from the ends, gives z = 60 and 215. Clearance holes.
    ("left", (0, 9, 60), (1, 0, 0), 4.5, 18),
    ("left", (0, 9, 215), (1, 0, 0), 4.5, 18),
    ("left", (0, 421, 60), (1, 0, 0), 4.5, 18),
    ("left", (0, 421, 215), (1, 0, 0), 4.5, 18),
    ("right", (620, 9, 60), (-1, 0, 0), 4.5, 18),
    ("right", (620, 9, 215), (-1, 0, 0), 4.5, 18),
    ("right", (620, 421, 60), (-1, 0, 0), 4.5, 18),
    ("right", (620, 421, 215), (-1, 0, 0), 4.5, 18),
    # The shelf is 250 deep from z = 25, and lies at y = 150 .. 168: z = 70 and 230.
    ("right", (620, 159, 70), (-1, 0, 0), 4.5, 18),
    ("right", (620, 159, 230), (-1, 0, 0), 4.5, 18),
    ("divider", (210, 159, 70), (1, 0, 0), 4.5, 18),
    ("divider", (210, 159, 230), (1, 0, 0), 4.5, 18),
    # The divider is 18 thick from x = 210: screws at 219, 40 in: z = 40 and 235.
    ("bottom", (219, 0, 40), (0, 1, 0), 4.5, 18),
    ("bottom", (219, 0, 235), (0, 1, 0), 4.5, 18),
    ("top", (219, 430, 40), (0, -1, 0), 4.5, 18),
    ("top", (219, 430, 235), (0, -1, 0), 4.5, 18),
    # Pilots, 45 - 18 + 1 deep, where the clearance holes come out.
    ("bottom", (18, 9, 60), (1, 0, 0), 3, 28),
    ("bottom", (18, 9, 215), (1, 0, 0), 3, 28),
    ("bottom", (602, 9, 60), (-1, 0, 0), 3, 28),
    ("bottom", (602, 9, 215), (-1, 0, 0), 3, 28),
    ("top", (18, 421, 60), (1, 0, 0), 3, 28),
    ("top", (18, 421, 215), (1, 0, 0), 3, 28),
    ("top", (602, 421, 60), (-1, 0, 0), 3, 28),
    ("top", (602, 421, 215), (-1, 0, 0), 3, 28),
    ("shelf", (602, 159, 70), (-1, 0, 0), 3, 28),
    ("shelf", (602, 159, 230), (-1, 0, 0), 3, 28),
    ("shelf", (228, 159, 70), (1, 0, 0), 3, 28),
    ("shelf", (228, 159, 230), (1, 0, 0), 3, 28),
    ("divider", (219, 18, 40), (0, 1, 0), 3, 28),
    ("divider", (219, 18, 235), (0, 1, 0), 3, 28),
    ("divider", (219, 412, 40), (0, -1, 0), 3, 28),
    ("divider", (219, 412, 235), (0, -1, 0), 3, 28),
}

# The reflected box: names stay, x becomes 620 - x. The holes that no other part shares, again by hand.
RIGHT_HAND = {
    ("left", (602, 100, 50), (1, 0, 0), 8, 11),
    ("left", (602, 300, 50), (1, 0, 0), 8, 11),
    ("left", (602, 100, 200), (1, 0, 0), 5, 9),
    ("right", (18, 350, 90), (-1, 0, 0), 6, 12),
    ("divider", (410, 333, 222), (-1, 0, 0), 10, 18),
    ("divider", (401, 77, 0), (0, 0, 1), 3, 20),
    ("top", (550, 412, 33), (0, 1, 0), 4, 7),
}


def holes(box):
    found = set()
    for part in parts(outputs.design("lopsided")).values():
        if part.root != box:
            continue
        for hole in part.holes:
            into = [0, 0, 0]
            into[hole.axis] = hole.into
            found.add((part.path.removeprefix(f"{box}."), hole.mouth, tuple(into), hole.entry["dia"], hole.depth))
    return found


class Lopsided(unittest.TestCase):
    def test_every_hole_stands_where_it_does_by_hand(self):
        self.assertEqual(holes("left_hand"), LEFT_HAND)

    def test_the_reflected_box_is_reflected_in_x_and_in_nothing_else(self):
        found = holes("right_hand")
        self.assertLessEqual(RIGHT_HAND, found)
        self.assertEqual(len(found), len(LEFT_HAND))
        turned = {(n, (620 - x, y, z), (-a, b, c), d, e) for n, (x, y, z), (a, b, c), d, e in LEFT_HAND}
        self.assertEqual(found, turned)

    def test_no_reflection_leaves_the_box_as_it_is(self):
        """So that a frame turned round by mistake cannot pass: not even one hole survives all of them."""
        size = (620, 430, 275)
        for axis in range(3):
            turned = set()
            for name, mouth, into, dia, depth in LEFT_HAND:
                mouth, into = list(mouth), list(into)
                mouth[axis], into[axis] = size[axis] - mouth[axis], -into[axis]
                turned.add((name, tuple(mouth), tuple(into), dia, depth))
            self.assertNotEqual(turned, LEFT_HAND)

    def test_faces_are_named_as_they_lie(self):
        """The lamp is in a face that looks left in the one box and right in the other."""
        job = outputs.job(outputs.design("lopsided"))
        face = {
            part["root"]: hole["face"]
            for part in job["parts"]
            for hole in part["holes"]
            if hole["purposes"] == ["a lamp"]
        }
        self.assertEqual(face, {"left_hand": "left", "right_hand": "right"})
        self.assertEqual(
            {b["path"]: b["mirrored"] for b in job["boxes"]}, {"left_hand": False, "right_hand": True}
        )

    def test_solids_are_open_where_the_holes_are_and_nowhere_else(self):
        """In the right-handed frame of the library (x right, y up, z towards the person): a small probe inside
        the wood is in the open at the hand-worked places, and in wood at their reflections."""
        probes = {
            # Part, in the library's own coordinates, whether it is open there.
            ("left", (13, 100, -50), True),
            ("left", (13, 300, -50), True),
            ("left", (13, 300, -200), False),
            ("left", (13, 330, -50), False),
            ("left", (13, 100, -225), False),
            ("right", (607, 350, -90), True),
            ("right", (607, 350, -185), False),
            ("right", (607, 80, -90), False),
            ("divider", (219, 333, -222), True),
            ("divider", (219, 333, -53), False),
            ("top", (70, 415, -33), True),
            ("top", (550, 415, -33), False),
            ("top", (70, 415, -242), False),
        }
        for name, (x, y, z), is_open in probes:
            corners = [(x + i, y + j, z + k) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]
            probe = hull([(a, b, -c) for a, b, c in corners])
            wood = (probe ^ parts(outputs.design("lopsided"))[f"left_hand.{name}"].solid).volume()
            self.assertAlmostEqual(wood, 0 if is_open else 8, places=6, msg=f"{name} {x} {y} {z}")

    def test_one_box_is_the_mirror_image_of_the_other(self):
        # Two equal boxes stand by themselves, each in its own frame, so the reflection is about x = 310.
        flip = [[-1.0, 0, 0, 620.0], [0, 1.0, 0, 0], [0, 0, 1.0, 0]]
        wood = parts(outputs.design("lopsided"))
        for name in ("left", "right", "bottom", "top", "divider", "shelf"):
            one, other = wood[f"left_hand.{name}"].solid, wood[f"right_hand.{name}"].solid
            turned = one.transform(flip)
            self.assertLess((turned - other).volume() + (other - turned).volume(), 1e-3, name)
            # And not the same box again.
            self.assertGreater((one - other).volume() + (other - one).volume(), 100, name)

    def test_bearings_in_a_right_handed_frame(self):
        """Right x up points at the person in a right-handed frame, so up to the far peg hole it must be negative."""
        at = lambda p: solids.world(p)
        near, above, behind = at((18, 100, 50)), at((18, 300, 50)), at((18, 100, 200))
        lamp = at((602, 350, 90))
        minus = lambda a, b: [p - q for p, q in zip(a, b)]
        right, up, away = minus(lamp, near), minus(above, near), minus(behind, near)
        cross = [
            right[1] * up[2] - right[2] * up[1],
            right[2] * up[0] - right[0] * up[2],
            right[0] * up[1] - right[1] * up[0],
        ]
        self.assertEqual(sum(a * b for a, b in zip(cross, away)), -584 * 200 * 150)


if __name__ == "__main__":
    unittest.main()
