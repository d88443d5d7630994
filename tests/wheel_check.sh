#!/usr/bin/env bash
# An installed wheel does its main job away from the source. Usage: wheel_check.sh BIN EMPTY_FOLDER
set -euo pipefail
bin=$1
home=$2
mkdir -p "$home"
cd "$home"
export HOME="$home" XDG_DATA_HOME="$home/data" XDG_CACHE_HOME="$home/cache" XDG_STATE_HOME="$home/state"
unset LOGBOOK_BOOK PYTHONPATH || true

"$bin/logbook" where
"$bin/logbook" tonight --demo --date 2026-11-09 --json > tonight.json
"$bin/python" - <<'PY'
import json
found = json.load(open("tonight.json"))
assert set(found) == {"site", "train", "night", "suggestions"}, found.keys()
assert found["suggestions"], "nothing was suggested"
print(len(found["suggestions"]), "suggestions, the first:", found["suggestions"][0]["name"])
PY
"$bin/python" - <<'PY'
from importlib.resources import files
for name in ("entry-line.md", "changelog.md"):
    assert files("logbook").joinpath("guide", name).read_text(encoding="utf-8").startswith("# "), name
PY
"$bin/logbook" nights --demo | head -3
"$bin/logbook" night --demo > night.txt
grep -q "^Objects" night.txt
"$bin/logbook" begin --book own.db
"$bin/logbook" nights --book own.db
"$bin/logbook" find m31 | head -1
