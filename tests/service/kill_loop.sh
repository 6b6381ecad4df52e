#!/usr/bin/env bash
# Kills processing and publishing (kill -9) at random instants and looks, after each, whether a
# reader would find anything half-written; then lets it finish.
# kill_loop.sh SONDELINE JOB [rounds]      needs: sqlite3 through python3, sha256sum
set -euo pipefail
program=$(realpath "$1")
job=$(realpath "$2")
rounds=${3:-200}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp -r "$job" "$work/job"
rm -rf "$work/job/asbuilt"
inputs() { (cd "$work/job" && find . -path ./asbuilt -prune -o -path './.*' -prune -o -type f -print0 | sort -z | xargs -0 sha256sum); }
# Exit code 2 only says that not all could be measured.
finish() { "$program" "$@" --quiet || [ $? -eq 2 ]; }

inputs >"$work/inputs"
finish process "$work/job" --cache "$work/cache"
cp -r "$work/job/asbuilt" "$work/whole"

# A map that cannot be read, or holds half a job, ends the loop.
check_map() {
    python3 - "$1" <<'PYTHON'
import sqlite3, sys
map = sqlite3.connect(sys.argv[1])
assert map.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
runs = map.execute("SELECT count(*) FROM pipe_runs WHERE job = 'job'").fetchone()[0]
jobs = map.execute("SELECT count(*) FROM jobs WHERE job = 'job'").fetchone()[0]
assert (runs > 0) == (jobs > 0), (runs, jobs)
PYTHON
}

# How long a command takes when nothing stops it, so that kills fall on all of it.
took_ms() {
    local begun=$EPOCHREALTIME
    finish "$@"
    echo $(((${EPOCHREALTIME/./} - ${begun/./}) / 1000))
}
cached_ms=$(took_ms process "$work/job" --cache "$work/cache")
publish_ms=$(took_ms publish "$work/job" --to "$work/map.gpkg")
rm -rf "$work/cache"
reading_ms=$(took_ms process "$work/job" --cache "$work/cache")

killed=0
for round in $(seq "$rounds"); do
    # With and without kept readings, and a new map or one that stands.
    [ $((round % 4)) -ne 0 ] || rm -rf "$work/cache"
    [ $((round % 8)) -ne 7 ] || rm -f "$work/map.gpkg"
    if [ $((round % 2)) -eq 0 ]; then
        "$program" process "$work/job" --cache "$work/cache" --quiet &
        longest_ms=$cached_ms
        [ $((round % 4)) -ne 0 ] || longest_ms=$reading_ms
    else
        "$program" publish "$work/job" --to "$work/map.gpkg" --quiet &
        longest_ms=$publish_ms
    fi
    child=$!
    wait_ms=$((RANDOM % (longest_ms * 11 / 10 + 1)))
    sleep "$(printf '%d.%03d' $((wait_ms / 1000)) $((wait_ms % 1000)))"
    if kill -9 "$child" 2>/dev/null; then killed=$((killed + 1)); fi
    wait "$child" 2>/dev/null || true
    diff -r "$work/whole" "$work/job/asbuilt" || { echo "round $round: the map is not whole" >&2; exit 1; }
    [ ! -e "$work/map.gpkg" ] || check_map "$work/map.gpkg" || { echo "round $round: the shared map is not whole" >&2; exit 1; }
    inputs | diff - "$work/inputs" || { echo "round $round: an input was changed" >&2; exit 1; }
done
finish process "$work/job" --cache "$work/cache"
finish publish "$work/job" --to "$work/map.gpkg"
check_map "$work/map.gpkg"
diff -r "$work/whole" "$work/job/asbuilt"
left=$(find "$work/job" "$work" -maxdepth 1 -name '.*writing*' -o -maxdepth 1 -name '.*.new*' | wc -l)
[ "$left" -eq 0 ] || { echo "$left half-written files were left" >&2; exit 1; }
echo "$killed of $rounds runs were killed (within $cached_ms ms of processing, $reading_ms with reading, $publish_ms of" \
    "publishing); nothing half-written was ever seen, no input changed."
