"""Reads the published schemas with a validator that knows nothing of this program.

Every good file must be taken, and every wrong file of tests/bad refused, but for those whose fault
a schema cannot say: they are listed here with the reason.
"""

import json
import pathlib
import re
import subprocess
import sys

import jsonschema
import yaml

PROGRAM = sys.argv[1]
FILES = ["class", "roster", "props", "settings"]

BEYOND_A_SCHEMA = {
    "ahead-for-ten-years": "the command is wrong, no file",
    "ahead-of-the-class": "the command is wrong, no file",
    "ahead-with-the-day-first": "the command is wrong, no file",
    "ahead-without-people": "the command is wrong, no file",
    "home-in-too-few-minutes": "the command is wrong, no file",
    "home-of-a-recording": "the command is wrong, no file",
    "home-with-one-thing": "the command is wrong, no file",
    "all-sheets-as-json": "the command is wrong, no file",
    "all-sheets-over-a-file": "the command is wrong, no file",
    "home-without-a-rest": "the command is wrong, no file",
    "home-without-a-way-up": "the command is wrong, no file",
    "note-without-leave-in-words": "whether words speak of health takes the lexicon",
    "home-without-people": "the command is wrong, no file",
    "student-nearly-named": "the command is wrong, no file",
    "version-nearly-named": "the command is wrong, no file",
    "version-over-its-class": "the command is wrong, no file",
    "version-said-twice": "the command is wrong, no file",
    "versions-that-clash": "the command is wrong, no file",
    "why-of-a-step-that-is-not-there": "the command is wrong, no file",
    "class-without-a-posture": "whether any of all sections has a step",
    "due-too-early": "a day compared with another day",
    "due-too-late": "a day compared with another day",
    "operation-in-the-future": "a day compared with another day",
    "side-without-sides": "whether a shape has sides hangs on its name",
    "thirtieth-of-february": "a pattern knows no calendar",
    "unknown-posture": "names are found by their sound, so any text may be one",
    "unknown-posture-in-a-word": "names are found by their sound, so any text may be one",
    "year-nobody-means": "a pattern of digits knows no century",
}


class Core(yaml.SafeLoader):
    """YAML 1.2, core schema, and no key twice: what editors read today."""

    yaml_implicit_resolvers = {}


for tag, pattern, first in [
    ("bool", r"^(?:true|True|TRUE|false|False|FALSE)$", "tTfF"),
    ("int", r"^[-+]?[0-9]+$", "-+0123456789"),
    ("float", r"^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$", "-+.0123456789"),
    ("null", r"^(?:~|null|Null|NULL|)$", ["~", "n", "N", ""]),
]:
    Core.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(pattern), list(first))


def plain_map(loader, node):
    keys = [key.value for key, _ in node.value]
    if not all(isinstance(key, str) for key in keys):
        raise yaml.YAMLError("a key that is no word")
    if len(set(keys)) != len(keys):
        raise yaml.YAMLError("a key stands twice")
    return yaml.SafeLoader.construct_mapping(loader, node, deep=True)


Core.add_constructor("tag:yaml.org,2002:map", plain_map)


def schema(name):
    text = subprocess.run([PROGRAM, "schema", name], check=True, capture_output=True).stdout
    made = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(made)
    return jsonschema.Draft202012Validator(made)


def faults(path, validator):
    """What is wrong with a file; a text where it is no YAML at all."""
    try:
        value = yaml.load(path.read_text(encoding="utf-8"), Loader=Core)
    except (yaml.YAMLError, UnicodeDecodeError, ValueError):
        return ["no YAML"]
    return [f"{error.json_path}: {error.message[:120]}" for error in validator.iter_errors(value)]


schemas = {name: schema(name) for name in FILES}
wrong = []
good = 0
for folder in [*sorted(pathlib.Path("tests/cases").iterdir()), pathlib.Path("src/cli/new"), pathlib.Path("data/demo")]:
    for name in FILES:
        path = folder / f"{name}.yaml"
        if path.is_file():
            good += 1
            wrong += [f"{path} is good and refused: {fault}" for fault in faults(path, schemas[name])]

refused, by_schema, taken = 0, 0, set()
for folder in sorted(path for path in pathlib.Path("tests/bad").iterdir() if path.is_dir()):
    paths = {name: folder / f"{name}.yaml" for name in FILES}
    paths = {name: path for name, path in paths.items() if path.is_file()}
    if not paths or any((folder / other).exists() for other in ["library", "adapted.json", "class.md"]):
        continue
    found = [fault for name, path in paths.items() for fault in faults(path, schemas[name])]
    if not found:
        taken.add(folder.name)
    else:
        refused += 1
        by_schema += found != ["no YAML"]
wrong += [f"tests/bad/{name} is taken, and no reason is given" for name in sorted(taken - set(BEYOND_A_SCHEMA))]
wrong += [f"tests/bad/{name} is refused after all" for name in sorted(set(BEYOND_A_SCHEMA) - taken)]
if good < 10 or by_schema < 30:
    wrong.append(f"too few files were read: {good} good, {by_schema} wrong")

print("\n".join(wrong) or f"{good} good files taken; {refused} wrong ones refused, {by_schema} by a schema; "
      f"{len(taken)} beyond a schema")
sys.exit(bool(wrong))
