# bash completion of spatsheet, as printed by `spatsheet completion bash`.
_spatsheet() {
  local rest=$COMP_LINE words=() n=-1 i piece cur breaks= skip= line open=yes named=
  # bash splits words at @, = and : too: put them together again, without quotes
  for ((i = 0; i <= COMP_CWORD; i++)); do
    piece=${COMP_WORDS[i]}
    if ((n < 0)) || [[ $rest == [[:space:]]* ]]; then
      words[++n]=
      rest=${rest#"${rest%%[![:space:]]*}"}
    fi
    rest=${rest#"$piece"}
    words[n]+=${piece//[\"\'\\]/}
  done
  cur=${words[n]}
  for piece in @ = :; do
    [[ $COMP_WORDBREAKS == *"$piece"* ]] && breaks+=$piece
  done
  [[ -n $breaks && $cur == *[$breaks]* ]] && skip=${cur%"${cur##*[$breaks]}"}

  COMPREPLY=()
  while IFS= read -r line; do
    line=${line%%$'\t'*}
    [[ $line == *[/=] ]] || open=
    [[ $line == *[/[:space:]]* ]] && named=yes
    COMPREPLY+=("${line#"$skip"}")
  done < <("${1/#\~/$HOME}" --complete "=$cur" "${words[@]:1:n-1}" 2>/dev/null)
  if type compopt >/dev/null 2>&1; then # not in the bash of macOS
    [[ -n $open ]] && compopt -o nospace 2>/dev/null
    [[ -n $named ]] && compopt -o filenames 2>/dev/null
  fi
  return 0
}
complete -F _spatsheet spatsheet
