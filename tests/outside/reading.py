"""The reading grade of home sheets, by an implementation that is not ours. Fails above grade 5."""

import json
import pathlib
import re
import subprocess
import sys

from textstat import textstat

MOST = 5.0
program = pathlib.Path(sys.argv[1]).resolve()


def run(case, *args):
    folder = pathlib.Path("tests/cases") / case
    files = ["class.yaml", "--roster", "roster.yaml", "--props", "props.yaml"]
    command = [program, args[0], *files, *args[1:]]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True)


def sentences(sheet):
    """The sheet up to the stop signs, without quotes and numbers, a sentence to each line of it."""
    read = sheet.split("Stop and get help")[0]
    read = re.sub("“[^”]*”", "", read)
    parts = [part.strip() for part in re.split(r"[.?:]", read.replace("\n", " "))]
    return ". ".join(part for part in parts if re.search("[A-Za-z]", part)) + "."


grades = []
for case in ["tuesday-wind-down", "ten-past-one"]:
    people = json.loads(run(case, "adapt", "--format", "json").stdout)["students"]
    for person in people:
        for minutes in ["8", "12", "20"]:
            made = run(case, "home", "--student", person["name"], "--minutes", minutes)
            if made.returncode != 0 or "There is no sheet yet" in made.stdout:
                continue
            grade = textstat.flesch_kincaid_grade(sentences(made.stdout))
            grades.append((grade, f"{case}, {person['name']}, {minutes} minutes"))
grades.sort(reverse=True)
if len(grades) < 30:
    sys.exit(f"only {len(grades)} sheets could be read")
print(f"{len(grades)} home sheets, grades {grades[-1][0]} to {grades[0][0]} ({grades[0][1]})")
if grades[0][0] > MOST:
    sys.exit(f"above grade {MOST}")
