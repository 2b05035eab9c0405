#!/bin/sh
# Every large run, one after the other, and what each says of itself. An hour and more on
# two cores; results also in $OUT. Numbers may be given: KILLS=50 DAMAGES=70 sh testdata/hard.sh
cd "$(dirname "$0")/.." || exit 1
OUT=${OUT:-$(mktemp -d)}
: "${KILLS:=300}" "${DAMAGES:=700}" "${FULL_DISKS:=12}" "${MUTANTS:=10000}" "${SEASONLOG_KILLS:=300}" "${FUZZTIME:=10m}"
export KILLS DAMAGES FULL_DISKS MUTANTS SEASONLOG_KILLS
command -v strace >/dev/null && export SEASONLOG_STRACE=1
failed=0
run() { # name, then what to run
	name=$1
	shift
	echo "== $name: $*"
	nice "$@" >"$OUT/$name.txt" 2>&1 || { failed=1; echo "FAILED, see $OUT/$name.txt"; }
	grep -E '^ +[a-z_]+_test\.go:[0-9]+: |^(ok|FAIL|---|fuzz:)' "$OUT/$name.txt" | tail -40
}
long="go test -count=1 -timeout 4h -v"
run kills $long ./cmd/spatsheet -run 'TestKilledCollect$'
run together $long ./cmd/spatsheet -run 'TestCollectorsAtOnce|TestClockMovedBack|TestReadOnlySeasonFolder'
run full-disk $long ./cmd/spatsheet -run 'TestDiskFull$'
run damage $long ./cmd/spatsheet -run 'TestDamagedLog$'
run log $long ./render/seasonlog
run hostile $long ./cmd/spatsheet ./protocols/... ./render/... -run 'Hostile|NoTyped|BatchCodes|ManifestBatch|Links|NothingTyped|NoFormula|NoBytes|Refuses|Formula'
run mutants $long ./cmd/spatsheet -run 'TestMutants|TestTheJudge'
run offices $long ./render/workbook -run 'TestFilled'
for target in FuzzParse:./protocols/quantity FuzzCompile:./protocols/formula FuzzLoad:./protocols FuzzRead:./render/workbook; do
	run "fuzz-${target%%:*}" go test "${target#*:}" -run '^$' -fuzz "${target%%:*}\$" -fuzztime "$FUZZTIME"
done
echo "results in $OUT"
exit $failed
