"""What `build` writes, read back: sheets by readers of XML and SVG, and the holes of every hole map from its own
text and symbols, against job.json."""

import csv
import functools
import hashlib
import io
import itertools
import json
import pathlib
import re
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree
from fractions import Fraction

import outputs
import svgelements
from solids import AXES, FACES

SVG = "{http://www.w3.org/2000/svg}"
# Pixels to the inch: CSS Values 3, absolute lengths (1in = 96px).
PIXELS_PER_INCH = 96
MM_PER_INCH = 25.4

# Seen square on from outside, with the part turned on the bench as it may be: whether distance from the first and
# from the second datum edge lie like right and up (1), or turned over (-1). x runs right, y up and z away.
# Left: looking right, away is on the left. Right: looking left, away is on the right. And so on.
HANDED = {"left": -1, "right": 1, "bottom": -1, "top": 1, "front": 1, "rear": -1}

_folder = tempfile.TemporaryDirectory()


def tearDownModule():
    _folder.cleanup()


@functools.cache
def built(path):
    """The folder that `build` wrote for a design."""
    folder = pathlib.Path(_folder.name) / f"{path.parent.name}-{path.stem}"
    outputs.run("build", path, "--out", folder)
    return folder


def sheets(kind):
    for path in outputs.designs():
        for sheet in sorted((built(path) / kind).glob("*.svg")):
            yield path, sheet


def said(node):
    return "".join(node.itertext()).strip()


def figure(text, inches):
    """`725.1`, or `28 35/64` where lengths are in inches, in mm."""
    whole = sum(Fraction(part) for part in text.split())
    return whole * Fraction(127, 5) if inches else whole


def table(sheet):
    """Rows of the sheet's tables as columns by their headings."""
    heads, rows = [], []
    for group in ElementTree.parse(sheet).getroot().iter(f"{SVG}g"):
        if group.get("class") != "row":
            continue
        cells = []
        for text in group.findall(f"{SVG}text"):
            # A heading or cell on two lines goes on under `more`.
            if text.get("class") == "more":
                cells[-1] += f" {said(text)}"
            else:
                cells.append(said(text))
        if group.find(f"{SVG}text").get("class") == "head":
            heads = cells
        else:
            # An empty last column is left out.
            rows.append(dict(itertools.zip_longest(heads, cells, fillvalue="")))
    return rows


def expanded(row, inches):
    """The holes of a row: a dense one gives first and last, evenly apart."""
    numbers = row["no."].split("–")
    first, last = int(numbers[0]), int(numbers[-1])
    columns = [c.removeprefix("from ") for c in row if c.startswith("from ")]
    ends = []
    for edge in columns:
        figures = [figure(t, inches) for t in row[f"from {edge}"].split(" to ")]
        ends.append((edge, figures[0], figures[-1]))
    for n in range(first, last + 1):
        share = Fraction(n - first, max(last - first, 1))
        yield n, {edge: low + (high - low) * share for edge, low, high in ends}


def face_up(sheet, part):
    """The face a page shows: its name, or the inner or outer one of the part."""
    word = re.sub(r"-\d+$", "", sheet.stem).split("-")[-1]
    return part[word] if word in ("inner", "outer") else word


class Build(unittest.TestCase):
    def test_files_are_what_the_commands_print(self):
        for path in outputs.designs():
            folder = built(path)
            self.assertEqual((folder / "job.json").read_text(encoding="utf-8"), outputs.job_text(path))
            for command in ("parts", "holes"):
                self.assertEqual((folder / f"{command}.csv").read_bytes(), outputs.listing(command, path))

    def test_sources_are_named_with_their_digests(self):
        """SHA-256 by Python's hashlib, of the bytes on disk."""
        for path in outputs.designs():
            sources = outputs.job(path)["sources"]
            self.assertEqual(sources[0]["name"], path.name)
            for source in sources:
                name = source["name"]
                library = name.removeprefix("std.")
                file = outputs.ROOT / "stdlib" / f"{library}.aum" if name != library else path.parent / name
                self.assertEqual(source["digest"], hashlib.sha256(file.read_bytes()).hexdigest(), name)

    def test_the_same_text_gives_the_same_folder(self):
        for path in outputs.designs()[:3]:
            with tempfile.TemporaryDirectory() as other:
                again = pathlib.Path(other) / "again"
                outputs.run("build", path, "--out", again)
                names = sorted(p.relative_to(again) for p in again.rglob("*") if p.is_file())
                first = built(path)
                self.assertEqual(names, sorted(p.relative_to(first) for p in first.rglob("*") if p.is_file()))
                for name in names:
                    self.assertEqual((again / name).read_bytes(), (first / name).read_bytes(), name)

    def test_messages_as_json(self):
        done = outputs.run("check", outputs.DESIGNS / "nowhere.aum", "--messages", "json", check=False)
        self.assertIn(done.returncode, (1, 3))
        self.assertTrue(json.loads(done.stderr))


class Sheets(unittest.TestCase):
    def test_a_unit_of_a_sheet_is_a_millimetre(self):
        count = 0
        for path, sheet in itertools.chain(*map(sheets, ("holes", "elevations", "apart"))):
            root = ElementTree.parse(sheet).getroot()
            self.assertEqual(root.tag, f"{SVG}svg")
            width, height = (svgelements.Length(root.get(k)) for k in ("width", "height"))
            low_x, low_y, *size = map(float, root.get("viewBox").split())
            self.assertEqual((low_x, low_y), (0, 0))
            self.assertEqual((f"{size[0]:g}mm", f"{size[1]:g}mm"), (root.get("width"), root.get("height")))
            # A4, either way up: EN ISO 216 as listed.
            self.assertEqual(sorted(size), [210, 297], sheet.name)
            for length, mm in zip((width, height), size):
                # That library keeps seven digits of a millimetre in pixels.
                exact = mm / MM_PER_INCH * PIXELS_PER_INCH
                self.assertLessEqual(abs(length.value(ppi=PIXELS_PER_INCH) - exact), 1e-6 * exact)
            count += 1
        self.assertGreaterEqual(count, 50)

    def test_a_drawing_program_sees_the_frame_where_it_is_on_paper(self):
        """The frame is the outermost ink, 10 mm in from the edge of the paper."""
        for kind in ("holes", "elevations", "apart"):
            path, sheet = next(sheets(kind))
            svg = svgelements.SVG.parse(str(sheet), ppi=PIXELS_PER_INCH)
            lines = [e for e in svg.elements() if isinstance(e, svgelements.SimpleLine)]
            ends = [x for line in lines for x in (line.implicit_x1, line.implicit_x2)]
            px = PIXELS_PER_INCH / MM_PER_INCH
            self.assertAlmostEqual(min(ends), 10 * px, places=3)
            self.assertAlmostEqual(max(ends), svg.width - 10 * px, places=3)


class HoleMaps(unittest.TestCase):
    def maps(self):
        """Each distinct part that has holes or cuts, with its sheets."""
        for path in outputs.designs():
            job = outputs.job(path)
            by_path = {p["path"]: p for p in job["parts"]}
            for same in job["same"]:
                found = sorted((built(path) / "holes").glob(f"{same['mark']}-*.svg"))
                yield path, job, by_path[same["pieces"][0]], found

    def test_every_hole_is_on_a_map_and_no_map_has_another(self):
        count = 0
        for path, job, part, found in self.maps():
            inches = job["house"]["units"] == "in"
            step = job["house"]["print"]
            rest = list(part["holes"])
            numbers = []
            for sheet in found:
                for row in table(sheet):
                    face = row.get("edge") or face_up(sheet, part)
                    for number, at in expanded(row, inches):
                        near = lambda got, exact: abs(got - exact) <= step
                        fits = [
                            h
                            for h in rest
                            if h["face"] == face
                            and set(at) == set(h["at"]["from"])
                            and all(near(at[e], mm) for e, mm in zip(h["at"]["from"], h["at"]["mm"]))
                            and near(figure(row["Ø"], inches), h["dia"])
                            and (row["depth"] == "through") == h["through"]
                            and (h["through"] or near(figure(row["depth"], inches), h["depth"]))
                            and row["what for"].startswith("IN PLACE") == (h["bored"] == "in_place")
                            and all(p in row["what for"] for p in h["purposes"])
                        ]
                        self.assertEqual(len(fits), 1, f"{path.name} {sheet.name} {row}")
                        rest.remove(fits[0])
                        numbers.append(number)
                        count += 1
            self.assertEqual(rest, [], f"{path.name} {part['mark']}")
            self.assertEqual(sorted(numbers), list(range(1, len(numbers) + 1)), part["mark"])
        self.assertGreaterEqual(count, 400)

    def test_numbers_on_the_maps_are_those_of_the_list(self):
        for path, job, part, found in self.maps():
            inches = job["house"]["units"] == "in"
            unit, step = job["house"]["units"], job["house"]["print"]
            text = outputs.listing("holes", path).decode("utf-8")
            listed = {
                int(r["no"]): r
                for r in csv.DictReader(io.StringIO(text, newline=""))
                if r["mark"] == part["mark"] and r["kind"] == "hole"
            }
            for sheet in found:
                for row in table(sheet):
                    for number, at in expanded(row, inches):
                        entry = listed[number]
                        self.assertEqual(entry["face"], row.get("edge") or face_up(sheet, part))
                        for n in ("1", "2"):
                            exact = figure(entry[f"from_{n}_{unit}"], inches)
                            self.assertLessEqual(abs(at[entry[f"edge_{n}"]] - exact), step)

    def test_symbols_stand_where_the_holes_are_seen_from_outside(self):
        """To the stated scale, turned as you like, and never turned over: a map is no mirror image."""
        pages = telling = 0
        for path, job, part, found in self.maps():
            for sheet in found:
                face = face_up(sheet, part)
                holes = [h for h in part["holes"] if h["face"] == face]
                if not holes:
                    continue
                root = ElementTree.parse(sheet).getroot()
                scales = [said(t) for t in root.iter(f"{SVG}text") if re.fullmatch(r"1:\d+", said(t))]
                if len(set(scales)) != 1:
                    # A very slender part, drawn to two scales.
                    continue
                scale = int(scales[0][2:])
                points = [tuple(float(mm) / scale for mm in h["at"]["mm"]) for h in holes]
                seen = self.symbols(root)
                if not seen:
                    # The table of the page before, carried over, or symbols that are not read here.
                    continue
                lies = {hand: self.lies(points, seen, hand) for hand in (1, -1)}
                self.assertTrue(lies[HANDED[face]], f"{path.name} {sheet.name}")
                pages += 1
                telling += not lies[-HANDED[face]]
        self.assertGreaterEqual(pages, 40)
        # Where holes are few or symmetrical the reflection fits as well; on these it does not.
        self.assertGreaterEqual(telling, 6)

    def symbols(self, root):
        """Centres of all symbols, as they lie on the page with y up."""
        centres = []
        for group in root.iter(f"{SVG}g"):
            if group.get("class") != "symbols":
                continue
            for symbol in group:
                # A shape may have a ring or a stroke before it; what closes round the centre tells it.
                whole = [s for s in symbol.iter() if s.tag == f"{SVG}circle" or "Z" in (s.get("d") or "")]
                shape = whole[0] if whole else symbol[0]
                if shape.tag == f"{SVG}circle":
                    centre = float(shape.get("cx")), float(shape.get("cy"))
                elif shape.get("d") is None:
                    # A kind of symbol that is not read here.
                    return []
                else:
                    corners = re.findall(r"[ML](\S+) ([^\sLMZ]+)", shape.get("d"))
                    self.assertGreaterEqual(len(corners), 3)
                    centre = tuple(sum(float(c[i]) for c in corners) / len(corners) for i in (0, 1))
                centres.append((centre[0], -centre[1]))
        return centres

    def lies(self, points, seen, hand):
        """Whether the points, turned by quarters (and turned over where `hand` says so), fit onto symbols."""
        for turns in range(4):
            turned = [(u, v * hand) for u, v in points]
            for _ in range(turns):
                turned = [(-v, u) for u, v in turned]
            u0, v0 = turned[0]
            for x, y in seen:
                moved = [(x + u - u0, y + v - v0) for u, v in turned]
                if all(any(abs(a - p) < 0.02 and abs(b - q) < 0.02 for p, q in seen) for a, b in moved):
                    return True
        return False

    def test_a_mirrored_part_has_its_own_map_and_both_say_so(self):
        count = 0
        for path in outputs.designs():
            job = outputs.job(path)
            for pair in job["pairs"]:
                for mark, other in (pair, pair[::-1]):
                    for sheet in (built(path) / "holes").glob(f"{mark}-*.svg"):
                        text = " ".join(said(t) for t in ElementTree.parse(sheet).getroot().iter(f"{SVG}text"))
                        if "continued" in text:
                            # Only the table of the page before.
                            continue
                        self.assertIn(f"Never bore {other} from this page", text, sheet.name)
                        count += 1
        self.assertGreaterEqual(count, 8)


if __name__ == "__main__":
    unittest.main()
