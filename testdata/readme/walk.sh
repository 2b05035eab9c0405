#!/usr/bin/env bash
# Makes walk.txt: the commands of README.md's "Ten minutes", one after another in a terminal
# of 80 by 30, with what they show; then the form of plan, page by page.
#
#   testdata/readme/walk.sh          needs Go and tmux
#
# Between the README's commands it does what the README leaves to hands: workbooks are
# filled in by fill/main.go, the first with mistakes.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
cd "$here/../.."

work=$(mktemp -d)
screen() { tmux -u -S "$work/tmux" "$@"; }
trap 'screen kill-server 2>/dev/null || true; rm -rf "$work"' EXIT
mkdir "$work/bin" "$work/home"
go build -o "$work/bin/spatsheet" ./cmd/spatsheet
go build -o "$work/fill" ./testdata/readme/fill
screen -f /dev/null new-session -d -x 80 -y 30 -c "$work/home" \
  "env -u CI -u ACCESSIBLE TERM=screen LC_ALL=C.UTF-8 PS1='$ ' PS2='> ' PATH='$work/bin:$PATH' bash --norc --noprofile"
screen set-option -g history-limit 5000

shown() { screen capture-pane -p "$@" | sed 's/ *$//' | sed -e :a -e '/^\n*$/{$d;N;ba' -e '}'; }

await() { # text: until it stands on the screen
  for _ in $(seq 600); do
    shown | grep -qF -e "$1" && return
    sleep 0.1
  done
  echo "walk.sh: no \"$1\" on the screen:" >&2
  shown >&2
  exit 1
}

prompted() { # until the shell asks for a command
  for _ in $(seq 1200); do
    [ "$(shown | tail -1)" = '$' ] && return
    sleep 0.1
  done
  echo "walk.sh: no prompt:" >&2
  shown >&2
  exit 1
}

# A command is typed as it stands, lines and all; what is long is cut in the middle.
run() { # command
  screen send-keys -R
  screen clear-history
  screen send-keys C-l
  prompted
  screen send-keys -l "$1"
  screen send-keys Enter
  sleep 0.3
  case $1 in *--watch*) await "Ctrl-C ends" && screen send-keys C-c ;; esac
  prompted
  shown -S - | sed '$d' | awk -v most=60 '
    { line[NR] = $0 }
    END {
      for (i = 1; i <= NR; i++) {
        if (NR > most && i == 46) { printf "    [%d lines more]\n", NR - 55; i = NR - 9 }
        print line[i]
      }
      print ""
    }'
}

page() { # text: the screen as it is once the text stands on it
  await "$1"
  sleep 0.5
  printf '%s\n' "------------------------------------------------------------------------ screen"
  shown
}

keys() { screen send-keys "$@"; }

hand() { # what README.md leaves to hands
  printf '# %s\n\n' "$1"
  shift
  (cd "$work/home/season-2026" && "$work/fill" "$@")
}

# commands prints those of the README, a command to a record that ends with a NUL byte.
commands() {
  awk '/^## /{on = /^## Ten minutes/} on && /^```/{code = !code; next} on && code' README.md |
    awk '{ printf "%s", $0; printf (/\\$/ ? "\n" : "%c"), 0 }'
}

walk() {
  while IFS= read -r -d '' command <&3; do
    case $command in
    "spatsheet check" | "spatsheet check filled")
      hand "the workbook is typed into, with mistakes, and saved into filled/" workbooks/KS-26-07.xlsx filled/KS-26-07.xlsx water_temperature=13,4 "sperm_motile=about 80" females_spawned=40 ;;
    *"--reason"*)
      hand "the workbook is corrected and saved under another name" workbooks/KS-26-07.xlsx filled/KS-26-07-again.xlsx ;;
    "spatsheet lineage KS-26-08"*)
      run "spatsheet print KS-26-08"
      hand "the next batch is filled in too" workbooks/KS-26-08.xlsx filled/KS-26-08.xlsx
      run "spatsheet collect filled/KS-26-08.xlsx" ;;
    esac
    run "$command"
  done 3< <(commands)
}

form() {
  screen send-keys -R
  screen clear-history
  screen send-keys C-l
  prompted
  screen send-keys -l 'spatsheet plan --species "Patella vulgata"'
  printf '# without flags, plan asks\n\n$ spatsheet plan --species "Patella vulgata"\n'
  keys Enter
  await "Which protocol?"
  keys Down Down Down Down Down Down
  page "> limpet-spawning@"
  keys Enter
  await "Which batch, and when?"
  keys Enter C-u 2026-03-14 Enter C-u 18:15
  page "> 18:15"
  keys Enter
  await "Settings that have no value yet"
  keys C-u 60 Tab C-u 40 Tab C-u 4e6 Tab C-u 60000
  page "This batch does not fit the site"
  keys Up Up Up C-u 18 Down C-u 12 Down C-u 2.4e6
  page "What this batch comes to"
  keys Down Enter
  page "Settings that have a value"
  keys Enter
  page "Write the plan?"
  keys Enter
  prompted
  page "wrote plans/"
}

walk >"$work/walk.txt"
form >>"$work/walk.txt"
mv "$work/walk.txt" "$here/walk.txt"
chmod 644 "$here/walk.txt"
