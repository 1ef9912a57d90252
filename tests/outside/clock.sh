#!/usr/bin/env bash
# A clock set wrongly, for real (faketime, from Debian): with no date anywhere the day is the clock's. A day before
# the roster's own stops with a word and writes nothing; a day long after asks about everything that was told.
set -euo pipefail
cd "$(dirname "$0")/../.."
program=${1:-${CARGO_TARGET_DIR:-target}/release/kindfold}
program=$(realpath "$program")
command -v faketime >/dev/null || apt-get install -y faketime >/dev/null
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
cd "$place"

wrong() { printf 'clock: %s\n' "$1" >&2; exit 1; }
cat >class.yaml <<'CLASS'
title: Short
minutes: 20
sections:
  - name: All
    steps:
      - {posture: cobra, breaths: 5}
CLASS
cat >roster.yaml <<'ROSTER'
recorded: 2026-11-20
students:
  - {name: Ines, limitations: [{what: pregnancy, weeks: 17+4}]}
  - {name: Sam, limitations: [{what: knee, side: left}]}
ROSTER

echo "at 1970: nothing is planned"
status=0
faketime '1970-01-02 10:00:00' "$program" adapt class.yaml --roster roster.yaml -o sheet.txt 2>said.txt || status=$?
[ "$status" = 2 ] || wrong "the status is $status, not 2"
grep -q "clock says 1970-01-02" said.txt || wrong "the clock is not named: $(cat said.txt)"
[ ! -e sheet.txt ] || wrong "a sheet was written"

echo "at 1970 with the teacher's date: the clock does not matter"
faketime '1970-01-02 10:00:00' "$program" adapt class.yaml --roster roster.yaml --date 2026-11-26 >with.txt
"$program" adapt class.yaml --roster roster.yaml --date 2026-11-26 >without.txt
cmp -s with.txt without.txt || wrong "the clock reached a sheet that has a date"

echo "at 2099: the day is said, and everybody is asked"
faketime '2099-06-01 10:00:00' "$program" adapt class.yaml --roster roster.yaml >late.txt 2>said.txt
grep -q "planned for today, 2099-06-01" said.txt || wrong "the day is not said: $(cat said.txt)"
grep -q "Ines  pregnancy: the due date is past" late.txt || wrong "Ines is not asked"
grep -q "Sam   knee: told .* ago. Still so?" late.txt || wrong "Sam is not asked"

echo "on any day that does not fit what was told, cobra is not given to Ines"
for day in 1970-01-02 2026-07-01 2026-11-26 2099-06-01; do
    "$program" adapt class.yaml --roster roster.yaml --date "$day" --format json >plan.json
    given=$(python3 -c 'import json; print([s["assignments"][0]["posture"] for s in json.load(open("plan.json"))["students"] if s["name"] == "Ines"][0])')
    [ "$given" != cobra ] || wrong "cobra is given to Ines on $day"
done
echo "a wrong clock opens nothing"
