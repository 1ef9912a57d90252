#!/bin/sh
# Prints every sheet of the case folders in a real browser and looks at what comes out: pages,
# paper, overflow, size of type, requests, and axe-core's rules for readers of all kinds.
# Installs the browser and, into a temporary folder, what drives it. Fails when it cannot run.
# `sheets.sh FOLDER` also leaves pictures of every page there.
set -eu
cd "$(dirname "$0")/../.."
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
install() {
    command -v "$1" >/dev/null 2>&1 && return
    apt-get update -qq
    apt-get install -y -qq --no-install-recommends "$2" >/dev/null
}
install chromium chromium
install npm npm
fc-list 2>/dev/null | grep -qi liberation || apt-get install -y -qq --no-install-recommends fonts-liberation >/dev/null
npm install --prefix "$place" --no-audit --no-fund --silent playwright-core@1 axe-core@4
cargo build --release --locked
built=$(pwd)/${CARGO_TARGET_DIR:-target}/release/kindfold
for case in tuesday-wind-down ten-past-one; do
    for sheet in teacher room cards props cautions record; do
        for size in "" --large; do
            (cd "tests/cases/$case" && "$built" adapt class.yaml --roster roster.yaml --props props.yaml \
                --sheet "$sheet" $size --format html -o "$place/$case.$sheet$size.html" 2>/dev/null)
        done
    done
    (cd "tests/cases/$case" && "$built" adapt class.yaml --roster roster.yaml --props props.yaml \
        --paper letter --format html -o "$place/$case.teacher--letter.html" 2>/dev/null)
    (cd "tests/cases/$case" && "$built" check class.yaml --format html -o "$place/$case.along.html" 2>/dev/null)
    for version in padded-kneeling no-kneeling wrist-free arms-low chair no-floor stay-down head-level \
        not-flat-not-front open-belly small-range neutral-spine quiet no-props household-props words-only \
        padded-kneeling,wrist-free; do
        (cd "tests/cases/$case" && "$built" vary class.yaml --for "$version" --format html \
            -o "$place/$case.vary-$version.html" 2>/dev/null)
    done
    for version in chair words-only; do
        (cd "tests/cases/$case" && "$built" vary class.yaml --for "$version" --large --format html \
            -o "$place/$case.vary-$version--large.html" 2>/dev/null)
    done
    (cd "tests/cases/$case" && "$built" vary class.yaml --for chair --paper letter --format html \
        -o "$place/$case.vary-chair--letter.html" 2>/dev/null)
    for sheet in teacher room props record; do
        (cd "tests/cases/$case" && "$built" vary class.yaml --for chair --sheet "$sheet" --format html \
            -o "$place/$case.chair-$sheet.html" 2>/dev/null)
    done
done
(cd tests/cases/tuesday-wind-down && "$built" adapt class.yaml --roster roster.yaml --props props.yaml \
    --student Aoife --format html -o "$place/tuesday-wind-down.card-of-one.html" 2>/dev/null)
for of in tuesday-wind-down:Kwame tuesday-wind-down:Aoife ten-past-one:Malik; do
    case=${of%%:*} who=${of##*:}
    for size in "" --large; do
        (cd "tests/cases/$case" && "$built" home class.yaml --roster roster.yaml --props props.yaml \
            --student "$who" --minutes 12 $size --format html -o "$place/$case.home-$who$size.html" 2>/dev/null)
    done
done
"$built" posture "warrior II" --format html -o "$place/library.posture.html" 2>/dev/null
cp tests/outside/sheets.mjs "$place/"
node "$place/sheets.mjs" "$place" "${1:-}"
