"""Every unit of the language against a units library that reckons in exact fractions."""

import pathlib
import random
import tempfile
import unittest
from fractions import Fraction

import outputs
import pint

REGISTRY = pint.UnitRegistry(non_int_type=Fraction)

# As written in the language, and as that library calls it. Degrees are compared with nothing but themselves there.
UNITS = {
    "length": {"mm": "millimetre", "cm": "centimetre", "m": "metre", "in": "inch"},
    "area": {"mm2": "millimetre**2", "cm2": "centimetre**2", "m2": "metre**2"},
    "volume": {"mm3": "millimetre**3", "cm3": "centimetre**3", "m3": "metre**3", "l": "litre"},
    "mass": {"g": "gram", "kg": "kilogram", "lb": "pound"},
    "force": {"N": "newton", "kN": "kilonewton"},
    "pressure": {
        "Pa": "pascal", "kPa": "kilopascal", "MPa": "megapascal", "N/mm2": "newton/millimetre**2", "psi": "psi",
    },
    "density": {"kg/m3": "kilogram/metre**3", "g/cm3": "gram/centimetre**3", "lb/ft3": "pound/foot**3"},
}


def written(value):
    """A fraction as a maker writes it: a decimal, or a quotient."""
    return f"({value.numerator} / {value.denominator})"


def conversions(kinds, number, seed):
    """Lines of a test block: a quantity equals the library's figure in another unit of its kind, exactly."""
    source = random.Random(seed)
    for _ in range(number):
        units = UNITS[source.choice(kinds)]
        here, there = source.choice(sorted(units)), source.choice(sorted(units))
        thousandths = source.randint(1, 5_000_000)
        value = Fraction(thousandths, 1000)
        figure = REGISTRY.Quantity(value, units[here]).to(units[there]).magnitude
        assert isinstance(figure, Fraction)
        yield f"{float(value):.3f}{here}", figure, there


class Units(unittest.TestCase):
    def passes(self, lines):
        """Whether a test block of these lines passes, and what was said where it does not."""
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "units.aum"
            path.write_text("aumbry 1\ntest \"units\" {\n" + "\n".join(lines) + "\n}\n", encoding="utf-8")
            done = outputs.run("test", path, check=False)
        return done.returncode == 0, done.stdout + done.stderr

    def test_every_unit_and_three_hundred_conversions(self):
        lines = []
        for kind, units in UNITS.items():
            for here in units:
                for there in units:
                    figure = REGISTRY.Quantity(Fraction(1), units[here]).to(units[there]).magnitude
                    lines.append(f"  expect 1{here} == {written(figure)} * 1{there}")
        for quantity, figure, there in conversions(sorted(UNITS), 300, 20):
            lines.append(f"  expect {quantity} == {written(figure)} * 1{there}")
        ok, said = self.passes(lines)
        self.assertTrue(ok, said[:2000])
        self.assertGreaterEqual(len(lines), 370)

    def test_a_wrong_conversion_fails(self):
        ok, _ = self.passes(["  expect 1in == 25.4mm"])
        self.assertTrue(ok)
        for wrong in ("1in == 25.400001mm", "1lb == 0.453592kg", "1psi == 6894.757Pa", "1lb/ft3 == 16kg/m3"):
            ok, _ = self.passes([f"  expect {wrong}"])
            self.assertFalse(ok, wrong)

    def test_mixed_fractions_of_an_inch(self):
        """From 0 63/64 in to 96 in, by the library's inch, through the language and back out of job.json."""
        source = random.Random(64)
        lengths = []
        for _ in range(60):
            parts = 2 ** source.randint(1, 6)
            whole, part = source.randint(12, 90), source.randrange(1, parts, 2)
            lengths.append((f"{whole} {part}/{parts}in", Fraction(whole) + Fraction(part, parts)))
        text = ["aumbry 1", "use std.boards (white18)", "def box planks() {", "  envelope (100in, 60in, 2000mm)"]
        for n, (length, _) in enumerate(lengths):
            place = f"x: 0in .. {length}  y: after 0mm  z: {n * 20}mm .. {n * 20 + 19}mm"
            text.append(f"  loose part plank_{n} of white18 along x {{ {place} }}")
        text += ["}", "box all = planks()"]
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "planks.aum"
            path.write_text("\n".join(text) + "\n", encoding="utf-8")
            job = outputs.job(path)
        found = {p["path"]: p["length"] for p in job["parts"]}
        for n, (length, inches) in enumerate(lengths):
            exact = REGISTRY.Quantity(inches, "inch").to("millimetre").magnitude
            self.assertLessEqual(abs(found[f"all.plank_{n}"] - exact), Fraction(1, 2_000_000), length)

    def test_density_and_load_come_out_in_si(self):
        """The density of a board sold by the pound and cubic foot, in kg/m3."""
        boards = {b["name"]: b for b in outputs.job(outputs.design("thirds"))["boards"]}
        exact = REGISTRY.Quantity(Fraction(75, 2), "pound/foot**3").to("kilogram/metre**3").magnitude
        self.assertLessEqual(abs(boards["seconds"]["density"] - exact), Fraction(1, 2_000_000))


if __name__ == "__main__":
    unittest.main()
