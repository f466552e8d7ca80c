#!/usr/bin/python3
"""The published schema takes every key the reader takes, and refuses what the reader refuses.

usage: schema_test.py SCHEMA FULL_SITE CORPUS SCENES
"""

import copy
import json
import pathlib
import sys

import jsonschema

schema_file, full_file, corpus_file, scenes_folder = sys.argv[1:]
with open(schema_file, encoding="utf-8") as stream:
    schema = json.load(stream)
with open(full_file, encoding="utf-8") as stream:
    full = json.load(stream)
jsonschema.Draft7Validator.check_schema(schema)
validator = jsonschema.Draft7Validator(schema)
checks = 0


def check(is_right, what):
    global checks
    checks += 1
    if not is_right:
        sys.exit("failed: " + what)


def objects(value, path="site"):
    """Every object in a value, with where it is."""
    if isinstance(value, dict):
        yield path, value
        for key, item in value.items():
            yield from objects(item, f"{path}.{key}")
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from objects(item, f"{path}[{index}]")


check(validator.is_valid(full), "the full example: " + str(next(validator.iter_errors(full), "")))

scenes = sorted(pathlib.Path(scenes_folder).glob("*/*.site.json"))
check(scenes, "scenes in " + scenes_folder)
for scene in scenes:
    fault = next(validator.iter_errors(json.loads(scene.read_text(encoding="utf-8"))), "")
    check(not fault, f"{scene}: {fault}")

# No key takes true in the place of text, a figure or a list, nor the other way round.
for path, one in objects(full):
    for key, value in one.items():
        spoiled = copy.deepcopy(full)
        dict(objects(spoiled))[path][key] = 1 if isinstance(value, bool) else True
        check(not validator.is_valid(spoiled), f"a wrong type of {path}.{key}")

for path, _ in objects(full):
    spoiled = copy.deepcopy(full)
    dict(objects(spoiled))[path]["colour_of_hat"] = 1
    check(not validator.is_valid(spoiled), "an unknown key in " + path)

# Every property the schema describes stands in the full example, so that the C++ tests read it too.
used = {key for _, one in objects(full) for key in one}
described = {
    key
    for _, one in objects(schema)
    if one.get("additionalProperties") is False
    for key in one["properties"]
}
check(described == used, "keys only in the schema or only in the example: " + str(described ^ used))

for path, one in objects({"properties": schema["properties"], "$defs": schema["$defs"]}):
    if "properties" in one and one.get("additionalProperties") is False:
        for key, described_by in one["properties"].items():
            target = described_by
            while "description" not in target and "$ref" in target:
                target = schema["$defs"][target["$ref"].rsplit("/", 1)[1]]
            check("description" in target, f"a description of {path}.{key}")

# What the reader refuses by form alone, the schema refuses too.
by_form = (
    "unknown key",
    "is missing",
    "this should be",
    "is not known here",
    "has no meaning without",
    "cannot become a file name",
    "holds a dot",
)
with open(corpus_file, encoding="utf-8") as stream:
    cases = stream.read().split("\n=== ")[1:]
for case in cases:
    name, rest = case.split("\n", 1)
    text, messages = rest.split("\n---\n", 1)
    if any(form in messages for form in by_form) and "closing" not in messages and "comma" not in messages:
        try:
            value = json.loads(text)
        except json.JSONDecodeError:
            continue
        check(not validator.is_valid(value), "the refusal of corpus case: " + name)

print(checks, "checks")
