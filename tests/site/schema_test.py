#!/usr/bin/python3
"""The published schemas take every key the readers take, and refuse what they refuse.

usage: schema_test.py SCHEMAS FULL_SITE FULL_CATALOGUE CORPUS SCENES
"""

import copy
import json
import pathlib
import sys

import jsonschema

schemas_folder, full_site_file, full_catalogue_file, corpus_file, scenes_folder = sys.argv[1:]


def read(file):
    return json.loads(pathlib.Path(file).read_text(encoding="utf-8"))


schemas = {name: read(f"{schemas_folder}/{name}") for name in ("site.schema.json", "catalogue.schema.json", "business.schema.json")}


def make_validator(name):
    jsonschema.Draft7Validator.check_schema(schemas[name])
    base = "file:///schemas/"  # nothing is fetched: both are in the store
    store = {base + one: schema for one, schema in schemas.items()}
    resolver = jsonschema.RefResolver(base_uri=base + name, referrer=schemas[name], store=store)
    return jsonschema.Draft7Validator(schemas[name], resolver=resolver)


def resolve(schema, reference):
    file, path = reference.split("#/")
    found = schemas[file] if file else schema
    for step in path.split("/"):
        found = found[step]
    return found


def described_objects(schema):
    """What a schema describes, with what it takes from another."""
    for _, one in list(objects(schema)):
        yield one
        if not one.get("$ref", "#").startswith("#"):
            yield from (other for _, other in objects(resolve(schema, one["$ref"])))


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


def check_schema(name, full):
    schema = schemas[name]
    validator = make_validator(name)
    check(validator.is_valid(full), "the full example: " + str(next(validator.iter_errors(full), "")))

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
        for one in described_objects(schema)
        if one.get("additionalProperties") is False
        for key, told in one["properties"].items()
        if not told["description"].startswith("An older name of")
    }
    instead_of = {"markup": "margin"}  # a file has one of the two
    described -= {key for key, other in instead_of.items() if other in used}
    check(described == used, "keys only in the schema or only in the example: " + str(described ^ used))

    for path, one in objects({key: schema[key] for key in ("properties", "$defs")}):
        if "properties" in one and one.get("additionalProperties") is False:
            for key, described_by in one["properties"].items():
                target = described_by
                while "description" not in target and "$ref" in target:
                    target = resolve(schema, target["$ref"])
                check("description" in target, f"a description of {path}.{key}")


check_schema("site.schema.json", read(full_site_file))
check_schema("catalogue.schema.json", read(full_catalogue_file))
check_schema("business.schema.json", read(pathlib.Path(full_catalogue_file).parent / "full.business.json"))

validator = make_validator("site.schema.json")
scenes = sorted(pathlib.Path(scenes_folder).glob("*/*.site.json"))
check(scenes, "scenes in " + scenes_folder)
for scene in scenes:
    fault = next(validator.iter_errors(json.loads(scene.read_text(encoding="utf-8"))), "")
    check(not fault, f"{scene}: {fault}")

for file in sorted(pathlib.Path(scenes_folder).glob("*/*.catalogue.json")):
    fault = next(make_validator("catalogue.schema.json").iter_errors(read(file)), "")
    check(not fault, f"{file}: {fault}")

# What the reader refuses by form alone, the schema refuses too.
by_form = (
    "unknown key",
    "is missing",
    "it is not said what",
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
    if messages.startswith("files/"):
        continue  # the fault lies in another file
    if any(form in messages for form in by_form) and "closing" not in messages and "comma" not in messages:
        try:
            value = json.loads(text)
        except json.JSONDecodeError:
            continue
        check(not validator.is_valid(value), "the refusal of corpus case: " + name)

print(checks, "checks")
