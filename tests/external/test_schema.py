"""The JSON Schema of job.json, by a validator of Draft 2020-12."""

import copy
import json
import unittest

import jsonschema
import outputs


def mutations():
    """What a job must not be, in words, with a function that makes it so."""

    def first(job, has):
        return next(p for p in job["parts"] if p[has])

    def put(job, has, key, value):
        first(job, has)[has][0][key] = value

    return {
        "a part without a path": lambda j: j["parts"][0].pop("path"),
        "a length in words": lambda j: j["parts"][0].update(length="600mm"),
        "a part of no thickness": lambda j: j["parts"][0].pop("thickness"),
        "a fourth axis": lambda j: j["parts"][0].update(axes=["x", "y", "w"]),
        "two axes": lambda j: j["parts"][0].update(axes=["x", "y"]),
        "a place with one end": lambda j: j["parts"][0]["place"].update(x=[0]),
        "a place without height": lambda j: j["parts"][0]["place"].pop("y"),
        "an unknown face": lambda j: put(j, "holes", "face", "back"),
        "a hole bored somewhere": lambda j: put(j, "holes", "bored", "somewhere"),
        "a hole that is measured from one edge": lambda j: first(j, "holes")["holes"][0]["at"].update(mm=[37]),
        "a cut of an unknown shape": lambda j: put(j, "cuts", "shape", "trench"),
        "a cut without its box": lambda j: first(j, "cuts")["cuts"][0].pop("box"),
        "a band on an unknown edge": lambda j: j["parts"][0]["bands"].update(inside="edging"),
        "a band that is a number": lambda j: j["parts"][0]["bands"].update(front=1),
        "grain in degrees": lambda j: j["parts"][0].update(grain=90),
        "a negative number of pieces": lambda j: j["items"][0].update(quantity=-1),
        "half a screw": lambda j: j["items"][0].update(quantity=2.5),
        "a pair of three": lambda j: j["pairs"].append(["A", "B", "C"]),
        "no boards": lambda j: j.pop("boards"),
        "parts by name": lambda j: j.update(parts={"a": 1}),
        "a house that prints in feet": lambda j: j["house"].update(units="ft"),
        "another format": lambda j: j.update(format="aumbry-job/2"),
    }


class Schema(unittest.TestCase):
    def validator(self):
        return jsonschema.Draft202012Validator(outputs.schema())

    def test_the_schema_is_a_schema(self):
        self.assertEqual(outputs.schema()["$schema"], "https://json-schema.org/draft/2020-12/schema")
        jsonschema.Draft202012Validator.check_schema(outputs.schema())

    def test_every_job_fits_it(self):
        for path in outputs.designs():
            errors = [e.message for e in self.validator().iter_errors(json.loads(outputs.job_text(path)))]
            self.assertEqual(errors, [], path.name)
        self.assertGreaterEqual(len(outputs.designs()), 10)

    def test_spoilt_jobs_are_refused(self):
        good = json.loads(outputs.job_text(outputs.EXAMPLES / "hung_box.aum"))
        for name, spoil in mutations().items():
            job = copy.deepcopy(good)
            spoil(job)
            with self.subTest(name):
                self.assertFalse(self.validator().is_valid(job))

    def test_every_field_that_is_written_is_described(self):
        """Nothing is in a job that its schema does not name."""
        closed = copy.deepcopy(outputs.schema())

        def close(node):
            if isinstance(node, dict):
                if "properties" in node and "additionalProperties" not in node:
                    node["additionalProperties"] = False
                for value in node.values():
                    close(value)
            elif isinstance(node, list):
                for value in node:
                    close(value)

        close(closed)
        strict = jsonschema.Draft202012Validator(closed)
        for path in outputs.designs():
            errors = [e.message for e in strict.iter_errors(json.loads(outputs.job_text(path)))]
            self.assertEqual(errors, [], path.name)

    def test_the_same_text_gives_the_same_bytes(self):
        for path in outputs.designs():
            self.assertEqual(outputs.run("job", path), outputs.job_text(path))

    def test_figures_have_at_most_six_decimals(self):
        for path in outputs.designs():
            def walk(node):
                if isinstance(node, dict):
                    for value in node.values():
                        walk(value)
                elif isinstance(node, list):
                    for value in node:
                        walk(value)
                elif isinstance(node, outputs.Fraction):
                    self.assertEqual((node * 10**6).denominator, 1)

            walk(outputs.job(path))


if __name__ == "__main__":
    unittest.main()
