#!/usr/bin/env bash
# Measures spatsheet as whole processes, and prints Markdown tables to stdout.
#
#   testdata/bench/run.sh [part ...]        parts: help print prints thousand scaling readings log million; all if none is named
#
# Every figure is the median of RUNS runs after one that is not counted; programs that are
# held against each other run in turn. What was made is kept in WORK and used again.
set -euo pipefail
cd "$(dirname "$0")/../.."

WORK=${WORK:-/tmp/spatsheet-bench}       # 1.5 GB for the season of 10,000
RUNS=${RUNS:-5}                          # counted runs
LARGE_RUNS=${LARGE_RUNS:-1}              # the same over more than 1,000 workbooks, without a run before
SIZES=${SIZES:-"10 100 1000 10000"}      # workbooks, for scaling; log takes the last
BOXES=${BOXES:-"150 260 500 660"}         # boxes of a sheet, for readings
MILLION=${MILLION:-6667}                  # workbooks with a million readings
HELD=${HELD:-1000}                       # workbooks held against openpyxl
PLANS=${PLANS:-1000}                     # plans printed
LABELS=${LABELS:-a4-3x8}                  # label stock
STEPS=${STEPS:-twelve}                   # twelve steps, or ten: the protocol as shipped
FLOOR_GOGC=${FLOOR_GOGC:-400}            # a second floor with this GOGC
SEED=1

parts=${*:-help print prints thousand scaling readings log million}
mkdir -p "$WORK"
spat=$WORK/spatsheet bench=$WORK/bench
go build -trimpath -o "$spat" ./cmd/spatsheet
go build -o "$bench" ./testdata/bench
cp testdata/bench/check_openpyxl.py "$WORK/check_openpyxl.py"
python=
for candidate in python3 /usr/bin/python3; do
  if [ -z "$python" ] && "$candidate" -c 'import openpyxl' 2>/dev/null; then python=$candidate; fi
done
rm -rf "$WORK/empty" && "$spat" start "$WORK/empty" >/dev/null

heading() { # title
  printf '\n### %s\n\n| what | median s | lowest-highest | processor s | times the first | peak MB |\n|---|---:|---:|---:|---:|---:|\n' "$1"
}

# A season is made again when the program that writes workbooks is another one.
season() { # workbooks, boxes of each, --own-sizes
  local boxes=${2:-150} own=${3:-} folder=$WORK/season-$STEPS-$1
  if [ "$boxes" != 150 ]; then folder=$folder-$boxes; fi
  folder=$folder$own
  if ! [ -d "$folder/filled" ] || ! cmp -s "$folder/made-by" <(made_by); then
    rm -rf "$folder"
    "$bench" make --folder "$folder" --workbooks "$1" --seed "$SEED" --protocol "$STEPS" --boxes "$boxes" $own >&2
    made_by >"$folder/made-by"
  fi
  echo "$folder"
}
made_by() {
  find render/workbook render/style protocols calc templates testdata/bench/{make,plans,faults,boxes}.go ! -path 'calc/season/*' \
    \( -name '*.go' -o -name '*.yaml' \) ! -name '*_test.go' -print0 | sort -z | xargs -0 cat | sha256sum
}

plans() { # plans
  local folder=$WORK/plans-$STEPS-$1
  [ -e "$folder/boxes.json" ] || "$bench" make --folder "$folder" --plans "$1" --seed "$SEED" --protocol "$STEPS" >&2
  echo "$folder"
}

has() { "$spat" print --help | grep -e "$1" >/dev/null; } # an option of print; -q would end the program early

part_help() {
  heading "Start of the program"
  "$bench" time --runs "$((RUNS * 4))" "spatsheet --help" "" "$spat --help"
}

part_print() {
  local folder; folder=$(plans "$PLANS")
  local clean="rm -rf $folder/sheets $folder/workbooks"
  local one="$spat print --folder $folder KS-26-00001"
  local rows=("PDF and workbook" "$clean" "$one")
  if has --labels; then
    rows+=("labels" "$clean" "$one --labels $LABELS")
  fi
  if has --sheet; then
    rows+=("PDF, workbook and labels" "$clean" "$one --sheet --labels $LABELS")
  fi
  if has --card; then rows+=("pocket card" "$clean" "$one --card"); fi
  heading "Printing one batch"
  "$bench" time --runs "$RUNS" "${rows[@]}"
}

part_prints() {
  local folder; folder=$(plans "$PLANS")
  local clean="rm -rf $folder/sheets $folder/workbooks"
  heading "Printing $PLANS batches"
  "$bench" time --runs "$RUNS" \
    "GOMAXPROCS=1" "$clean" "env GOMAXPROCS=1 $spat print --folder $folder $folder/plans/*.yaml" \
    "GOMAXPROCS=2" "$clean" "env GOMAXPROCS=2 $spat print --folder $folder $folder/plans/*.yaml"
  rm -rf "$folder/sheets" "$folder/workbooks"
}

part_thousand() {
  local folder; folder=$(season "$HELD")
  local fresh="cp $WORK/empty/season-log.sqlite $folder/season-log.sqlite"
  local rows=(
    "floor" "" "$bench floor --folder $folder"
    "floor, GOGC=$FLOOR_GOGC" "" "$bench floor --folder $folder --gogc $FLOOR_GOGC"
    "check" "" "$spat check $folder/filled"
    "collect" "$fresh" "$spat collect --folder $folder $folder/filled"
  )
  if [ -n "$python" ]; then
    rows+=("openpyxl, 1 process" "" "$python $WORK/check_openpyxl.py $folder" "openpyxl, 2 processes" "" "$python $WORK/check_openpyxl.py --procs 2 $folder")
  fi
  heading "$HELD filled workbooks"
  "$bench" time --runs "$RUNS" "${rows[@]}"
  same_findings "$folder"
}

# same_findings shows that both programs did the same work.
same_findings() { # season
  echo
  "$bench" floor --folder "$1"
  if [ -n "$python" ]; then "$python" "$WORK/check_openpyxl.py" "$1" --json "$WORK/openpyxl.json"; fi
  "$spat" check --json "$1/filled" >"$WORK/spatsheet.json" || [ $? = 1 ]
  python3 - "$WORK" <<'PY'
import collections, json, os, sys
files = json.load(open(sys.argv[1] + "/spatsheet.json"))
levels = {os.path.basename(f["file"]): collections.Counter(x["level"] for x in f["findings"]) for f in files}
total = sum(levels.values(), collections.Counter())
print("spatsheet: %d files, %d errors, %d warnings, %d notes" % (len(files), total["error"], total["warning"], total["note"]))
if os.path.exists(sys.argv[1] + "/openpyxl.json"):
    others = json.load(open(sys.argv[1] + "/openpyxl.json"))
    unlike = [name for name in levels if dict(levels[name]) != others.get(name)]
    print("files with other numbers of findings: %d of %d %s" % (len(unlike), len(levels), " ".join(unlike[:5])))
PY
}

part_scaling() {
  local raw=$WORK/scaling.tsv size
  rm -f "$raw"
  for size in $SIZES; do
    local folder runs=$RUNS warm=1
    folder=$(season "$size")
    if [ "$size" -gt 1000 ]; then runs=$LARGE_RUNS warm=0; fi
    local fresh="cp $WORK/empty/season-log.sqlite $folder/season-log.sqlite"
    heading "$size workbooks"
    "$bench" time --runs "$runs" --warm "$warm" --raw "$raw" \
      "check $size" "" "$spat check $folder/filled" \
      "collect $size" "$fresh" "$spat collect --folder $folder $folder/filled" \
      "collect again $size" "" "$spat collect --folder $folder $folder/filled" \
      "season $size" "" "$spat season --folder $folder --replace" \
      "report $size" "" "$spat season --folder $folder --report-only --replace"
  done
  printf '\n### Against the size of the season\n\n'
  "$bench" fit "$WORK/scaling.svg" <"$raw"
  printf '\ndrawn in %s\n' "$WORK/scaling.svg"
}

# part_readings is scaling by the readings of 100 workbooks.
part_readings() {
  local raw=$WORK/readings.tsv boxes
  rm -f "$raw"
  for boxes in $BOXES; do
    local folder size fresh
    folder=$(season 100 "$boxes")
    fresh="cp $WORK/empty/season-log.sqlite $folder/season-log.sqlite"
    $fresh
    "$spat" collect --folder "$folder" "$folder/filled" >/dev/null || [ $? = 1 ]
    size=$(python3 -c 'import sqlite3, sys; print(sqlite3.connect(sys.argv[1]).execute("SELECT count(*) FROM reading").fetchone()[0])' "$folder/season-log.sqlite")
    heading "100 workbooks, $size readings"
    "$bench" time --runs "$RUNS" --raw "$raw" \
      "check $size" "" "$spat check $folder/filled" \
      "collect $size" "$fresh" "$spat collect --folder $folder $folder/filled" \
      "season $size" "" "$spat season --folder $folder --replace" \
      "report $size" "" "$spat season --folder $folder --report-only --replace"
  done
  printf '\n### Against the readings of 100 workbooks\n\n'
  "$bench" fit "$WORK/readings.svg" readings <"$raw"
  printf '\ndrawn in %s\n' "$WORK/readings.svg"
}

# part_log tells size and rate for a reading, over the largest season that scaling left.
part_log() {
  local size=${SIZES##* } folder
  folder=$(season "$size")
  if ! [ -e "$folder/season-log.sqlite" ]; then
    cp "$WORK/empty/season-log.sqlite" "$folder/season-log.sqlite"
    "$spat" collect --folder "$folder" "$folder/filled" >/dev/null || [ $? = 1 ]
  fi
  printf '\n### The season log\n\n'
  python3 - "$folder" "$WORK/scaling.tsv" "$size" <<'PY'
import glob, os, sqlite3, sys
folder, raw, size = sys.argv[1:]
log = folder + "/season-log.sqlite"
db = sqlite3.connect("file:%s?mode=ro" % log, uri=True)
one = lambda sql: db.execute(sql).fetchone()[0]
readings, revisions = one("SELECT count(*) FROM reading"), one("SELECT count(*) FROM revision")
held = one("SELECT sum(length(content)) FROM workbook") + one("SELECT sum(length(content)) FROM document")
whole = os.path.getsize(log)
print("| what | value |\n|---|---:|")
print("| workbooks | %d |\n| readings | %d |\n| log, MB | %.1f |" % (revisions, readings, whole / 1e6))
print("| workbooks and texts kept whole, MB | %.1f |" % (held / 1e6))
print("| bytes a reading, without those | %.0f |" % ((whole - held) / readings))
print("| bytes a reading, with those | %.0f |" % (whole / readings))
times = {}
for line in open(raw) if os.path.exists(raw) else ():
    label, seconds, peak = line.split()
    times[label] = float(seconds)
for command in ("collect", "collect-again", "season", "report"):
    if seconds := times.get(command + "-" + size):
        print("| %s, readings a second | %.0f |\n| %s, s for a million readings | %.1f |" % (command, readings / seconds, command, 1e6 * seconds / readings))
PY
}

# part_million is the report over a million readings, each batch of a size of its own: none
# takes anything over from another.
part_million() {
  local folder; folder=$(season "$MILLION" 150 --own-sizes)
  local fresh="cp $WORK/empty/season-log.sqlite $folder/season-log.sqlite"
  heading "$MILLION workbooks, each of its own size"
  "$bench" time --runs "$LARGE_RUNS" --warm 0 "collect" "$fresh" "$spat collect --folder $folder $folder/filled"
  "$bench" time --runs "$RUNS" "report" "" "$spat season --folder $folder --report-only --replace"
  python3 -c 'import sqlite3, sys; print("\n%d readings" % sqlite3.connect(sys.argv[1]).execute("SELECT count(*) FROM reading").fetchone())' "$folder/season-log.sqlite"
}

echo "Machine: $(nproc) processors, $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -1), load $(cut -d' ' -f1-3 /proc/loadavg); $(go version | cut -d' ' -f3); commit $(git rev-parse --short HEAD); $(date -u +%Y-%m-%dT%H:%MZ)"
for part in $parts; do "part_$part"; done
