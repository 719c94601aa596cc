"""The lists as CSV, by a general reader, against job.json; lengths through a units library."""

import csv
import io
import unittest
from fractions import Fraction

import outputs
import pint

UNITS = pint.UnitRegistry(non_int_type=Fraction)


def rows(command, path):
    text = outputs.listing(command, path).decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def mm(row, column, job):
    """A figure of a row in mm, whichever unit its heading states."""
    unit = job["house"]["units"]
    figure = Fraction(row[f"{column}_{unit}"])
    return UNITS.Quantity(figure, {"mm": "millimetre", "in": "inch"}[unit]).to("millimetre").magnitude


class Lists(unittest.TestCase):
    def near(self, printed, exact, job, name):
        """Rounded to the nearest step, and a whole number of steps but for six decimals."""
        step = job["house"]["print"]
        self.assertLessEqual(abs(printed - exact), step / 2 + Fraction(1, 10**5), name)
        self.assertLessEqual(abs(printed / step - round(printed / step)), Fraction(1, 10**4), name)

    def test_records_end_with_crlf_and_are_equally_long(self):
        """RFC 4180, section 2, rules 1 and 4."""
        for path in outputs.designs():
            for command in ("parts", "holes"):
                text = outputs.listing(command, path)
                self.assertEqual(text.count(b"\n"), text.count(b"\r\n"))
                self.assertTrue(text.endswith(b"\r\n"))
                widths = {len(r) for r in csv.reader(io.StringIO(text.decode("utf-8"), newline=""), strict=True)}
                self.assertEqual(len(widths), 1, f"{path.name} {command}")

    def test_parts_agree_with_the_job(self):
        count = 0
        for path in outputs.designs():
            job = outputs.job(path)
            by_path = {p["path"]: p for p in job["parts"]}
            found = {row["mark"]: row for row in rows("parts", path)}
            self.assertEqual(set(found), {s["mark"] for s in job["same"]})
            for same in job["same"]:
                row, part = found[same["mark"]], by_path[same["pieces"][0]]
                name = f"{path.name} {same['mark']}"
                self.assertEqual(int(row["quantity"]), len(same["pieces"]), name)
                self.assertEqual(row["board"], part["board"], name)
                for column in ("length", "width", "thickness"):
                    self.near(mm(row, column, job), part[column], job, name)
                self.near(mm(row, "cut_length", job), part["cut"]["length"], job, name)
                self.near(mm(row, "cut_width", job), part["cut"]["width"], job, name)
                if row["bands"] == "all four":
                    self.assertEqual(len(part["bands"]), 4, name)
                else:
                    banded = set(row["bands"].split(", ")) - {"none"}
                    self.assertEqual(banded, set(part["bands"]), name)
                boxes = {by_path[p]["box"] for p in same["pieces"]}
                self.assertEqual(set(row["belongs_to"].split("; ")), boxes, name)
                partner = {m for pair in job["pairs"] if same["mark"] in pair for m in pair} - {same["mark"]}
                self.assertEqual({row["pair"]} - {""}, partner, name)
                self.assertEqual(row["grain"], part["grain"], name)
                count += 1
        self.assertGreaterEqual(count, 50)

    def test_pieces_add_up(self):
        for path in outputs.designs():
            total = sum(int(row["quantity"]) for row in rows("parts", path))
            self.assertEqual(total, len(outputs.job(path)["parts"]), path.name)

    def test_holes_agree_with_the_job(self):
        count = 0
        for path in outputs.designs():
            job = outputs.job(path)
            by_path = {p["path"]: p for p in job["parts"]}
            listed = rows("holes", path)
            for same in job["same"]:
                part = by_path[same["pieces"][0]]
                mine = [r for r in listed if r["mark"] == same["mark"]]
                holes = [r for r in mine if r["kind"] == "hole"]
                name = f"{path.name} {same['mark']}"
                self.assertEqual(len(holes), len(part["holes"]), name)
                self.assertEqual(sum(r["kind"] == "bevel" for r in mine), len(part["bevels"]), name)
                self.assertEqual(len(mine), len(holes) + len(part["bevels"]) + len(part["cuts"]), name)
                self.assertEqual([int(r["no"]) for r in holes], list(range(1, len(holes) + 1)), name)
                rest = list(part["holes"])
                for row in holes:
                    fits = [h for h in rest if self.is_row(row, h, job)]
                    self.assertTrue(fits, f"{name}: {row}")
                    rest.remove(fits[0])
                    count += 1
                self.assertEqual(rest, [], name)
        self.assertGreaterEqual(count, 400)

    def is_row(self, row, hole, job):
        step = job["house"]["print"] / 2 + Fraction(1, 10**5)
        words = (
            row["face"] == hole["face"]
            and [row["edge_1"], row["edge_2"]] == hole["at"]["from"]
            and row["through"] == ("yes" if hole["through"] else "no")
            and row["bored"] == {"bench": "bench", "in_place": "in place"}[hole["bored"]]
            and row["what_for"] == "; ".join(hole["purposes"])
        )
        return words and all(
            abs(mm(row, column, job) - figure) <= step
            for column, figure in (
                ("from_1", hole["at"]["mm"][0]),
                ("from_2", hole["at"]["mm"][1]),
                ("dia", hole["dia"]),
                ("depth", hole["depth"]),
            )
        )

    def test_no_cell_begins_like_a_formula(self):
        for path in outputs.designs():
            for command in ("parts", "holes"):
                for row in rows(command, path):
                    for cell in row.values():
                        self.assertFalse(cell[:1] in ("=", "+", "-", "@", "\t", "\r"), cell)


if __name__ == "__main__":
    unittest.main()
