"""Sag and stress of every span in `weights --as json` against a finite element library for frames, which knows
nothing of this project, and shear against a sum of its own over the shear force of that library's beam."""

import functools
import json
import unittest

import numpy
import outputs
from anastruct import SystemElements

G = 9.80665  # N to the kilogram, 3rd CGPM (1901)
ELEMENTS = 24


@functools.cache
def weights(path):
    return json.loads(outputs.run("weights", path, "--as", "json"))


@functools.cache
def spans():
    """Every span whose board states a stiffness, of every example and of the designs of ours, with its path."""
    return [(path, s) for path in outputs.designs() for s in weights(path)["spans"] if s["stiffness"]]


def frame(span):
    """The plank as a beam of equal elements: N, mm."""
    clear, e = span["clear"], span["stiffness"]
    area = span["width"] * span["height"]
    inertia = span["width"] * span["height"] ** 3 / 12
    load = (span["load"] + (span["own"] or 0)) * G / clear
    system = SystemElements(EA=e * area, EI=e * inertia)
    for i in range(ELEMENTS):
        system.add_element([[clear * i / ELEMENTS, 0], [clear * (i + 1) / ELEMENTS, 0]])
    if span["ends"] == "clamped":
        system.add_support_fixed(1)
        system.add_support_fixed(ELEMENTS + 1)
    else:
        system.add_support_hinged(1)
        system.add_support_roll(ELEMENTS + 1)
    for i in range(1, ELEMENTS + 1):
        system.q_load(q=-load, element_id=i)
    system.solve()
    return system


class Sag(unittest.TestCase):
    def near(self, found, due, name, limit=1e-6):
        self.assertLessEqual(abs(found / due - 1), limit, f"{name}: {found} for {due}")

    def test_spans_of_every_kind_are_there(self):
        found = [s for _, s in spans()]
        self.assertGreaterEqual(len(found), 11)
        self.assertEqual({s["ends"] for s in found}, {"simple", "clamped"})
        self.assertEqual({s["shear_stated"] for s in found}, {True, False})
        self.assertIn(None, [s["own"] for s in found])

    def test_what_is_not_stated_is_not_made_up(self):
        for path in outputs.designs():
            for span in weights(path)["spans"]:
                if span["stiffness"] is None:
                    self.assertEqual([span[k] for k in ("bending", "shear", "at_once", "in_years")], [None] * 4)

    def test_bending(self):
        for path, span in spans():
            node = frame(span).get_node_displacements(ELEMENTS // 2 + 1)
            self.near(span["bending"], abs(node["uy"]), f"{path.name} {span['part']}")

    def test_stress(self):
        for path, span in spans():
            system = frame(span)
            # The largest moment of all elements: in the middle, or at clamped ends.
            ends = [abs(m) for e in system.element_map.values() for m in (e.node_1.Tz, e.node_2.Tz)]
            results = system.get_element_results(element_id=0)
            moment = max(ends + [max(abs(r["Mmin"]), abs(r["Mmax"])) for r in results])
            stress = moment * 6 / (span["width"] * span["height"] ** 2)
            self.near(span["stress"], stress, f"{path.name} {span['part']}", 1e-5)

    def test_shear(self):
        """The slope that shear adds is V / (G A'); up to the middle it adds up to the sag. A' = 5 b h / 6: Wood
        Handbook, FPL-GTR-190, Eq. 9-4 (from memory)."""
        for path, span in spans():
            clear, load = span["clear"], (span["load"] + (span["own"] or 0)) * G
            x = numpy.linspace(0, clear / 2, 20001)
            force = load / 2 - load * x / clear
            area = span["width"] * span["height"] * 5 / 6
            sag = numpy.trapezoid(force / (span["shear_modulus"] * area), x)
            self.near(span["shear"], sag, f"{path.name} {span['part']}")

    def test_sums(self):
        for path, span in spans():
            name = f"{path.name} {span['part']}"
            self.near(span["at_once"], span["bending"] + span["shear"], name)
            self.near(span["in_years"], span["at_once"] * (1 + span["creep"]), name)
            self.near(span["force"], (span["load"] + (span["own"] or 0)) * G, name)
            if span["limit"]:
                self.near(span["used"], span["in_years"] / span["limit"], name)

    def test_figures_come_from_the_job(self):
        for path, span in spans():
            job = outputs.job(path)
            board = next(b for b in job["boards"] if b["name"] == span["board"])
            part = next(p for p in job["parts"] if p["path"] == span["part"])
            said = next(s for s in job["spans"] if s["part"] == span["part"])
            self.assertEqual(float(board["stiffness"]), span["stiffness"])
            self.assertAlmostEqual(float(said["clear"]), span["clear"], places=6)
            self.assertAlmostEqual(float(said["load"]), span["load"], places=5)
            sizes = {float(part[k]) for k in ("length", "width", "thickness")}
            self.assertTrue({span["width"], span["height"]} <= {round(s, 9) for s in sizes} or span["width"] in sizes)


class Weights(unittest.TestCase):
    def test_boxes_are_the_sum_of_their_parts(self):
        count = 0
        for path in outputs.designs():
            found = weights(path)
            for box in found["boxes"]:
                inside = [p for p in found["parts"] if p["path"].startswith(box["path"] + ".")]
                self.assertEqual(len(inside), box["parts"], box["path"])
                net = sum(p["net"] or 0 for p in inside)
                self.assertAlmostEqual(net, box["net"]["kg"], places=6)
                self.assertEqual(sum(p["net"] is None for p in inside), box["net"]["unknown_parts"])
                count += 1
        self.assertGreaterEqual(count, 12)

    def test_gross_weights_are_sizes_times_density(self):
        for path in outputs.designs():
            job = outputs.job(path)
            density = {b["name"]: b["density"] for b in job["boards"]}
            parts = {p["path"]: p for p in job["parts"]}
            for found in weights(path)["parts"]:
                part = parts[found["path"]]
                if density[part["board"]] is None:
                    self.assertIsNone(found["gross"])
                    continue
                due = part["length"] * part["width"] * part["thickness"] * density[part["board"]] / 10**9
                self.assertAlmostEqual(found["gross"], float(due), places=5)
                self.assertLessEqual(found["net"], found["gross"] + 1e-9)


if __name__ == "__main__":
    unittest.main()
