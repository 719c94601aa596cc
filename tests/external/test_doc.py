"""The pages of `aumbry doc` against a strict reader of HTML, and in a browser where there is one."""

import functools
import html
import json
import os
import pathlib
import re
import shutil
import subprocess
import tempfile
import unittest

import html5lib
import outputs
from PIL import Image

FOLDER = tempfile.TemporaryDirectory()
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
BROWSER = os.environ.get("BROWSER_PATH") or next(filter(None, map(shutil.which, NAMES)), None)
PHONE = 390
DESK = 1200

# Shows each page in a frame as wide as a phone and as a desk, and writes down how wide it turned out, what of it
# stands out at the side, and how tall its drawings are.
PROBE = """<!DOCTYPE html><html><head><meta charset="utf-8"><title>probe</title></head><body><script>
const pages = %s, found = [];
async function look(page, width) {
  const frame = document.createElement("iframe");
  frame.style.cssText = `width:${width}px;height:900px;border:0`;
  const loaded = new Promise(done => frame.onload = done);
  frame.src = page;
  document.body.append(frame);
  await loaded;
  const inner = frame.contentDocument, shown = inner.documentElement;
  const within = element => element.closest(".wide, .sheet, pre");
  const out = [...inner.querySelectorAll("main *")].filter(element => !within(element)
    && element.getBoundingClientRect().right > width + 1).map(element => element.outerHTML.slice(0, 80));
  const drawings = [...inner.querySelectorAll("svg")].map(svg => {
    const area = svg.getBoundingClientRect();
    return [area.width, area.height];
  });
  // Two texts of a drawing that lie over each other by a fifth of the smaller one.
  const over = [];
  for (const svg of inner.querySelectorAll("svg")) {
    const texts = [...svg.querySelectorAll("text")].map(text => [text.textContent, text.getBoundingClientRect()]);
    texts.forEach(([a, one], n) => texts.slice(n + 1).forEach(([b, other]) => {
      const wide = Math.min(one.right, other.right) - Math.max(one.left, other.left);
      const high = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
      const least = Math.min(one.width * one.height, other.width * other.height);
      if (wide > 0 && high > 0 && wide * high > least / 5) over.push(`${a} | ${b}`);
    }));
  }
  found.push({page, width, scroll: shown.scrollWidth, tall: shown.scrollHeight, out, drawings, over});
  frame.remove();
}
(async () => {
  for (const page of pages) for (const width of [%d, %d]) await look(page, width);
  const told = document.createElement("pre");
  told.id = "found";
  told.textContent = JSON.stringify(found);
  document.body.append(told);
})();
</script></body></html>
"""


@functools.cache
def pages():
    """The folder of the library's pages, and the names of the pages in it."""
    folder = pathlib.Path(FOLDER.name) / "std"
    outputs.run("doc", "std", "--out", folder)
    return folder, sorted(path.name for path in folder.glob("*.html"))


def browse(*arguments):
    """What the browser prints."""
    with tempfile.TemporaryDirectory() as profile:
        command = [
            BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--disable-dev-shm-usage",
            "--allow-file-access-from-files", f"--user-data-dir={profile}", *arguments,
        ]
        done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=300)
    if done.returncode != 0:
        raise AssertionError(f"{BROWSER}: {done.stderr[-2000:]}")
    return done.stdout


class Markup(unittest.TestCase):
    def test_every_page_is_strict_html(self):
        folder, names = pages()
        self.assertGreater(len(names), 60)
        for name in names:
            with self.subTest(name):
                parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
                tree = parser.parse((folder / name).read_text(encoding="utf-8"))
                self.assertEqual(len(tree.findall(".//h1")), 1)
                self.assertEqual(tree.findall(".//script"), [])

    def test_only_files_of_the_folder_are_named(self):
        folder, names = pages()
        there = {path.name for path in folder.iterdir()}
        for name in names:
            text = (folder / name).read_text(encoding="utf-8")
            for link in re.findall(r'(?:href|src)="([^"]*)"', text):
                page = html.unescape(link).split("#")[0]
                self.assertTrue(page == "" or page in there, f"{name}: {link}")

    def test_the_same_bytes_again(self):
        folder, _ = pages()
        again = pathlib.Path(FOLDER.name) / "again"
        outputs.run("doc", "std", "--out", again)
        for path in folder.iterdir():
            self.assertEqual(path.read_bytes(), (again / path.name).read_bytes(), path.name)


@unittest.skipUnless(BROWSER, "no browser of the Chromium family is installed; BROWSER_PATH names one")
class Browser(unittest.TestCase):
    def test_every_page_fits_a_phone_and_a_desk(self):
        folder, names = pages()
        probe = folder.parent / "probe.html"
        probe.write_text(PROBE % (json.dumps([f"std/{name}" for name in names]), PHONE, DESK), encoding="utf-8")
        told = browse("--virtual-time-budget=200000", "--dump-dom", probe.as_uri())
        found = re.search(r'<pre id="found">(.*?)</pre>', told, re.DOTALL)
        self.assertIsNotNone(found, "the probe did not end")
        found = json.loads(html.unescape(found.group(1)))
        self.assertEqual(len(found), 2 * len(names))
        drawn = 0
        for look in found:
            with self.subTest(page=look["page"], width=look["width"]):
                self.assertLessEqual(look["scroll"], look["width"])
                self.assertEqual(look["out"], [])
                self.assertEqual(look["over"], [])
                self.assertGreater(look["tall"], 200)
                for width, height in look["drawings"]:
                    self.assertGreater(width, 100)
                    self.assertGreater(height, 30)
                    drawn += 1
        self.assertGreater(drawn, 150)

    def test_a_page_is_painted(self):
        folder, _ = pages()
        picture = folder.parent / "page.png"
        for width in (PHONE, DESK):
            page = (folder / "std.boxes.floor_box.html").as_uri()
            browse(f"--screenshot={picture}", f"--window-size={width},1600", page)
            with Image.open(picture) as image:
                grey = image.convert("L")
                self.assertGreaterEqual(grey.width, width)
                dark = sum(grey.histogram()[:128]) / (grey.width * grey.height)
                # Black on white, and neither a blank page nor a black one.
                self.assertGreater(dark, 0.01)
                self.assertLess(dark, 0.2)


if __name__ == "__main__":
    unittest.main()
