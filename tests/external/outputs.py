"""What the compiler writes, as the tests read it: by running the binary, and no other way."""

import functools
import json
import os
import pathlib
import subprocess
from fractions import Fraction

AUMBRY = os.environ["AUMBRY"]
ROOT = pathlib.Path(os.environ["AUMBRY_ROOT"])
DESIGNS = ROOT / "tests" / "external" / "designs"
EXAMPLES = ROOT / "examples"


def run(*arguments, check=True, **more):
    """The standard output of the binary; an exit status other than 0 is an error unless `check` is off."""
    done = subprocess.run(
        [AUMBRY, *map(str, arguments)], capture_output=True, text=True, encoding="utf-8", **more
    )
    if check and done.returncode != 0:
        raise AssertionError(f"aumbry {' '.join(map(str, arguments))}: {done.stderr}")
    return done.stdout if check else done


@functools.cache
def job_text(path):
    return run("job", path)


@functools.cache
def job(path):
    """`job.json` with every figure as an exact fraction of its decimal text."""
    return json.loads(job_text(path), parse_float=Fraction, parse_int=Fraction)


@functools.cache
def schema():
    return json.loads(run("job", "--schema"))


@functools.cache
def designs():
    """Every example and every design of ours that makes at least one part, in order."""
    found = sorted(EXAMPLES.glob("*.aum")) + sorted(DESIGNS.glob("*.aum"))
    return [path for path in found if job(path)["parts"]]


def design(name):
    return DESIGNS / f"{name}.aum"


@functools.cache
def listing(command, path):
    """The bytes of a list as CSV, untouched by any conversion of line ends."""
    done = subprocess.run([AUMBRY, command, str(path), "--as", "csv"], capture_output=True, check=True)
    return done.stdout
