#!/bin/sh
# Pictures of the figures of all postures, page by page: `figures.sh FOLDER [LEVEL …]` leaves page-01.png and so
# on there. Needs Chromium; CHROMIUM names it where it has another name. Fails when a page gives no picture.
set -eu
cd "$(dirname "$0")/../.."
folder=$(mkdir -p "$1" && cd "$1" && pwd)
shift
cargo run --release --locked --example contact_sheet -- "$folder" "$@"
for page in "$folder"/page-*.html; do
    picture=${page%.html}.png
    "${CHROMIUM:-chromium}" --headless --no-sandbox --disable-gpu --hide-scrollbars \
        --window-size=794,1123 --force-device-scale-factor=2 --screenshot="$picture" "file://$page" >/dev/null 2>&1
    [ -s "$picture" ]
done
