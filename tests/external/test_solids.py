"""Every part of every design, rebuilt as a solid by a general geometry library."""

import collections
import itertools
import math
import unittest

import outputs
import solids
from solids import AXES, FACES, parts

# No two parts share more than this, in cubic millimetres.
MOST_SHARED = 1.0
# Figures in job.json are rounded to 0.000001 mm, each by itself.
ROUNDING = solids.Fraction(2, 1_000_000)


class Case(unittest.TestCase):
    def assertLength(self, got, expected, name=None):
        self.assertLessEqual(abs(got - expected), ROUNDING, name)

    def assertPoint(self, got, expected, name=None):
        for a, b in zip(got, expected, strict=True):
            self.assertLength(a, b, name)


class Solids(Case):
    def test_volumes_agree_with_closed_forms(self):
        count = 0
        for path in outputs.designs():
            for part in parts(path).values():
                with self.subTest(design=path.name, part=part.path):
                    expected = part.closed_form
                    if expected is None:
                        continue
                    self.assertGreater(expected, 0)
                    self.assertLessEqual(abs(part.solid.volume() - expected), 1e-6 * expected)
                    count += 1
        self.assertGreaterEqual(count, 60)

    def test_the_comparison_can_fail(self):
        """One hole, cut or bevel left out shows at this accuracy."""
        for path in outputs.designs():
            for part in parts(path).values():
                expected = part.closed_form
                if expected is None:
                    continue
                tools = part.tools()
                for left_out in range(len(tools)):
                    # The least of them all: a pilot hole.
                    if tools[left_out].volume() > 1:
                        rest = part.worked(tools[:left_out] + tools[left_out + 1 :])
                        self.assertGreater(rest.volume() - expected, 2e-6 * expected, part.path)
                        break

    def test_sizes_are_those_of_the_place_along_the_axes(self):
        for path in outputs.designs():
            boards = {b["name"]: b for b in outputs.job(path)["boards"]}
            for part in parts(path).values():
                entry = part.entry
                self.assertEqual(sorted(entry["axes"]), ["x", "y", "z"])
                for axis, size in zip(entry["axes"], ("length", "width", "thickness")):
                    self.assertLength(part.size(axis), entry[size], part.path)
                self.assertEqual(entry["thickness"], boards[entry["board"]]["thickness"])

    def test_every_part_stays_one_body(self):
        for path in outputs.designs():
            for part in parts(path).values():
                self.assertEqual(len(part.solid.decompose()), 1, part.path)

    def test_nothing_is_worked_outside_its_part(self):
        for path in outputs.designs():
            for part in parts(path).values():
                for tool in part.tools():
                    outside = (tool - part.blank()).volume()
                    self.assertLess(outside, 1e-3, part.path)

    def test_no_two_parts_share_a_volume(self):
        pairs = let_in = 0
        for path in outputs.designs():
            for a, b in itertools.combinations(parts(path).values(), 2):
                if a.root != b.root or not solids.meet(a.ranges, b.ranges):
                    continue
                pairs += 1
                let_in += (a.blank() ^ b.blank()).volume() > MOST_SHARED
                shared = (a.solid ^ b.solid).volume()
                self.assertLessEqual(shared, MOST_SHARED, f"{path.name}: {a.path} and {b.path}")
        # Whole boards do overlap there, so that it is the cuts and bevels that part them.
        self.assertGreaterEqual(pairs, 20)
        self.assertEqual(let_in, pairs)

    def test_parts_lie_in_the_place_of_their_box(self):
        for path in outputs.designs():
            boxes = {b["path"]: b for b in outputs.job(path)["boxes"]}
            for part in parts(path).values():
                if part.entry.get("proud"):
                    continue
                place = solids.extents(boxes[part.entry["box"]]["place"])
                for (low, high), (a, b) in zip(place, part.ranges):
                    self.assertTrue(low - ROUNDING <= a < b <= high + ROUNDING, part.path)

    def test_a_cut_size_is_the_finished_size_less_its_bands(self):
        for path in outputs.designs():
            job = outputs.job(path)
            bands = {b["name"]: b for b in job["bands"]}
            for part in parts(path).values():
                entry = part.entry
                for name, axis in zip(("length", "width"), entry["axes"]):
                    off = sum(
                        bands[band]["thickness"]
                        for face, band in entry["bands"].items()
                        if FACES[face][0] == axis and bands[band]["deduct"]
                    )
                    self.assertLength(entry["cut"][name], entry[name] - off, part.path)
                for face in entry["bands"]:
                    self.assertNotEqual(FACES[face][0], entry["axes"][2], "bands are on edges")


class Holes(Case):
    def test_holes_are_measured_from_the_stated_edges(self):
        """Left and right faces from front and bottom, front and rear from left and bottom, top and bottom from
        left and front."""
        edges = {"x": ["front", "bottom"], "z": ["left", "bottom"], "y": ["left", "front"]}
        count = 0
        for path in outputs.designs():
            for part in parts(path).values():
                for hole in part.holes:
                    self.assertEqual(hole.entry["at"]["from"], edges[FACES[hole.entry["face"]][0]])
                    count += 1
        self.assertGreaterEqual(count, 500)

    def test_through_holes_are_as_deep_as_the_part(self):
        for path in outputs.designs():
            for part in parts(path).values():
                for hole in part.holes:
                    deep = part.size(AXES[hole.axis])
                    self.assertEqual(hole.entry["through"], abs(hole.depth - deep) <= ROUNDING, hole.entry["id"])
                    self.assertLessEqual(hole.depth, deep + ROUNDING)

    def test_every_pilot_stands_behind_its_clearance_hole(self):
        """A pilot that is bored in place has a clearance hole of the same joint on its axis, or one behind the other:
        bored the same way, and out of the other part where the pilot begins."""
        count = 0
        for path in outputs.designs():
            for pilot, through in self.screws(path):
                name = f"{path.name}: {pilot.entry['id']}"
                if not through:
                    # A top that is free to move: its screws stand in slots.
                    joints = set(pilot.entry["joints"])
                    slots = [c for p in parts(path).values() for c in p.entry["cuts"] if c["joint"] in joints]
                    self.assertTrue(any("dia" in c for c in slots), name)
                    continue
                # From the pilot back to the head: one part behind the other, a lock screw goes through two.
                mouth = pilot.mouth
                for clear in through:
                    self.assertEqual((clear.axis, clear.into), (pilot.axis, pilot.into), name)
                    self.assertPoint(clear.bottom, mouth, name)
                    self.assertGreater(clear.entry["dia"], pilot.entry["dia"], name)
                    self.assertEqual(clear.entry["bored"], "bench", name)
                    mouth = clear.mouth
                count += 1
        self.assertGreaterEqual(count, 150)

    def test_a_screw_meets_no_wood_before_the_bottom_of_its_pilot(self):
        """A rod as thick as the pilot slides through both parts down to the bottom of the pilot, and no further."""
        for path in outputs.designs():
            done = set()
            for pilot, through in self.screws(path):
                if not through:
                    continue
                kind = (pilot.part["path"], through[0].part["path"], pilot.entry["face"])
                if kind in done:
                    continue
                done.add(kind)
                far = parts(path)[pilot.part["path"]]
                dia = pilot.entry["dia"] - solids.Fraction(1, 50)
                rod = pilot.rod(dia, -sum(clear.depth for clear in through), pilot.depth)
                for part in [far, *(parts(path)[clear.part["path"]] for clear in through)]:
                    self.assertLess((rod ^ part.solid).volume(), 1e-3, pilot.entry["id"])
                # 0.5 mm past the bottom it stands in wood, all round.
                tip = pilot.rod(dia, pilot.depth, pilot.depth + solids.Fraction(1, 2))
                wood = (tip ^ far.solid).volume()
                self.assertAlmostEqual(wood / tip.volume(), 1, places=6, msg=pilot.entry["id"])

    def screws(self, path):
        """Each pilot bored in place that ends in its part, with the through holes of its joints in other parts on its
        axis, nearest first. A hole bored on right through is no pilot: a bolt or a machine screw goes through it."""
        by_joint = collections.defaultdict(list)
        for part in parts(path).values():
            for hole in part.holes:
                for joint in hole.entry["joints"]:
                    by_joint[(part.root, joint)].append(hole)
        for part in parts(path).values():
            for pilot in part.holes:
                if pilot.entry["bored"] != "in_place" or pilot.entry["through"]:
                    continue
                found = []
                for joint in pilot.entry["joints"]:
                    for hole in by_joint[(part.root, joint)]:
                        across = [i for i in range(3) if i != pilot.axis]
                        coaxial = all(abs(hole.mouth[i] - pilot.mouth[i]) <= ROUNDING for i in across)
                        other = hole.part["path"] != part.path
                        if other and hole.axis == pilot.axis and coaxial and hole.entry["through"]:
                            found.append(hole)
                found.sort(key=lambda h: abs(h.bottom[h.axis] - pilot.mouth[h.axis]))
                yield pilot, found

    def test_as_many_screws_are_bought_as_pilots_are_bored(self):
        count = 0
        for path in outputs.designs():
            pilots = collections.Counter(
                joint
                for part in parts(path).values()
                for hole in part.holes
                if hole.entry["bored"] == "in_place"
                for joint in hole.entry["joints"]
            )
            bought = {use["path"]: use["quantity"] for item in outputs.job(path)["items"] for use in item["for"]}
            for joint, number in pilots.items():
                self.assertEqual(bought.get(joint), number, f"{path.name}: {joint}")
                count += 1
        self.assertGreaterEqual(count, 60)

    def test_no_hole_comes_out_where_it_should_not(self):
        """A blind hole leaves wood behind its bottom; every hole leaves wood round it in its own blank."""
        for path in outputs.designs():
            for part in parts(path).values():
                for hole in part.holes:
                    across = [i for i in range(3) if i != hole.axis]
                    for i in across:
                        low, high = part.ranges[i]
                        a, b = hole.bounds()[i]
                        self.assertTrue(low < a and b < high, hole.entry["id"])


class Bevels(Case):
    def test_a_hung_box_hangs(self):
        """The support sits on the cleat: it goes neither down nor off the wall towards the room, but up."""
        wood = parts(outputs.EXAMPLES / "hung_box.aum")
        support, cleat = wood["glazes.support"].solid, wood["glazes.cleat"].solid

        def shared(x, y, z):
            moved = support.translate((float(x), float(y), -float(z)))
            return (moved ^ cleat).volume()

        self.assertLess(shared(0, 0, 0), MOST_SHARED)
        self.assertGreater(shared(0, -1, 0), 1000, "down")
        self.assertGreater(shared(0, 0, -1), 1000, "towards the room")
        self.assertLess(shared(0, 18, 0), MOST_SHARED, "lifted by the thickness")
        self.assertLess(shared(0, 18, -18), MOST_SHARED, "and then taken off")

    def test_bevels_lie_where_they_do_by_hand(self):
        """Boards of the design `machining`: what is open and what is wood near bevelled edges, in mm from the low
        corner of the part, in the frame of the job."""
        probes = [
            # 500 x 150 x 18. Top: 45 degrees, the rear face keeps its size.
            ("slopes", (250, 147, 3), True),
            ("slopes", (250, 147, 17), False),
            ("slopes", (250, 135, 1.5), True),
            ("slopes", (250, 130, 1.5), False),
            # Bottom: 7 up over 10 of the thickness, the front face keeps its size.
            ("slopes", (250, 1.5, 16), True),
            ("slopes", (250, 1.5, 5), False),
            ("slopes", (250, 8.5, 16), False),
            # 18 x 400 x 120. Front: 30 back over the whole thickness, the left face keeps its size.
            ("ends", (16, 200, 3), True),
            ("ends", (1.2, 200, 4), False),
            ("ends", (16, 200, 24), True),
            ("ends", (16, 200, 32), False),
        ]
        wood = parts(outputs.design("machining"))
        for name, at, is_open in probes:
            part = wood[f"loose_boards.{name}"]
            middle = [float(low) + p for (low, _), p in zip(part.ranges, at)]
            probe = solids.block([(m - 0.5, m + 0.5) for m in middle])
            expected = 0 if is_open else 1
            self.assertAlmostEqual((probe ^ part.solid).volume(), expected, places=6, msg=f"{name} {at}")


def rotations_and_reflections():
    """The 48 ways to lay a cuboid onto itself: a permutation of the axes with signs, and its determinant."""
    for order in itertools.permutations(range(3)):
        inversions = sum(order[i] > order[j] for i, j in itertools.combinations(range(3), 2))
        for signs in itertools.product((1, -1), repeat=3):
            yield order, signs, (-1) ** inversions * math.prod(signs)


class Sameness(Case):
    """Equal marks and pairs, found again by laying the solids onto each other."""

    def laid(self, a, b, order, signs):
        """Whether `a`, turned so about its middle, is `b`: wood, bands, grain and good face."""
        size = lambda part: [high - low for low, high in part.ranges]
        if a.entry["board"] != b.entry["board"] or any(abs(x - y) > ROUNDING for x, y in zip([size(a)[k] for k in order], size(b))):
            return False

        def face(name):
            axis, end = FACES[name]
            to = order.index(AXES.index(axis))
            end = end if signs[to] > 0 else 1 - end
            return next(n for n, f in FACES.items() if f == (AXES[to], end))

        if {face(f): band for f, band in a.entry["bands"].items()} != b.entry["bands"]:
            return False
        if (a.entry["good_face"] and face(a.entry["good_face"])) != b.entry["good_face"]:
            return False
        if a.entry["grain"] != b.entry["grain"]:
            return False
        if a.entry["grain"] != "none" and order.index(AXES.index(a.entry["axes"][0])) != AXES.index(b.entry["axes"][0]):
            return False
        # Rows of the matrix take the job's axes; the library's z is turned round, before and after.
        turn = (1, 1, -1)
        middle = lambda part: [float(sum(r)) / 2 * t for r, t in zip(part.ranges, turn)]
        matrix = [[0.0] * 4 for _ in range(3)]
        for i in range(3):
            matrix[i][order[i]] = float(signs[i] * turn[i] * turn[order[i]])
        ma, mb = middle(a), middle(b)
        for i in range(3):
            matrix[i][3] = mb[i] - sum(matrix[i][k] * ma[k] for k in range(3))
        moved = a.bench_solid.transform(matrix)
        apart = (moved - b.bench_solid).volume() + (b.bench_solid - moved).volume()
        # The smallest hole of all, 2.5 mm wide and 5 deep, is 24 cubic millimetres.
        return apart < 1

    def same(self, a, b, handed):
        return any(
            self.laid(a, b, order, signs)
            for order, signs, determinant in rotations_and_reflections()
            if determinant == handed
        )

    def test_equal_marks_are_equal_pieces(self):
        count = 0
        for path in outputs.designs():
            for same in outputs.job(path)["same"]:
                first = parts(path)[same["pieces"][0]]
                for other in same["pieces"]:
                    self.assertEqual(parts(path)[other].entry["mark"], same["mark"])
                for other in same["pieces"][1:]:
                    self.assertTrue(self.same(first, parts(path)[other], 1), f"{path.name}: {other}")
                    count += 1
        self.assertGreaterEqual(count, 20)

    def test_pairs_are_reflections_and_no_rotations(self):
        count = 0
        for path in outputs.designs():
            pieces = {s["mark"]: s["pieces"][0] for s in outputs.job(path)["same"]}
            for one, two in outputs.job(path)["pairs"]:
                a, b = parts(path)[pieces[one]], parts(path)[pieces[two]]
                self.assertTrue(self.same(a, b, -1), f"{path.name}: {one} {two}")
                self.assertFalse(self.same(a, b, 1), f"{path.name}: {one} {two}")
                count += 1
        self.assertGreaterEqual(count, 8)

    def test_unequal_marks_are_unequal_pieces(self):
        count = 0
        for path in outputs.designs():
            job = outputs.job(path)
            pairs = {frozenset(p) for p in job["pairs"]}
            for one, two in itertools.combinations(job["same"], 2):
                a, b = parts(path)[one["pieces"][0]], parts(path)[two["pieces"][0]]
                sizes = [sorted(high - low for low, high in p.ranges) for p in (a, b)]
                if any(abs(x - y) > ROUNDING for x, y in zip(*sizes)):
                    continue
                self.assertFalse(self.same(a, b, 1), f"{path.name}: {one['mark']} {two['mark']}")
                if frozenset((one["mark"], two["mark"])) not in pairs:
                    self.assertFalse(self.same(a, b, -1), f"{path.name}: {one['mark']} {two['mark']}")
                count += 1
        self.assertGreaterEqual(count, 8)


if __name__ == "__main__":
    unittest.main()
