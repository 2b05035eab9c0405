#compdef spatsheet
# zsh completion of spatsheet, as printed by `spatsheet completion zsh`.
_spatsheet() {
  local -a lines closed open
  local line word
  lines=("${(@f)$("${words[1]/#\~/$HOME}" --complete "=${(Q)PREFIX}" "${(@Q)words[2,CURRENT-1]}" 2>/dev/null)}")
  for line in $lines; do
    word=${line%%$'\t'*}
    if [[ $word == *[/=] ]]; then
      open+=("$word")
    elif [[ $line == *$'\t'* ]]; then
      closed+=("${word//:/\\:}:${line#*$'\t'}")
    else
      closed+=("${word//:/\\:}")
    fi
  done
  (( $#closed )) && _describe -V 'spatsheet' closed
  (( $#open )) && compadd -S '' -- $open
}
if [[ ${funcstack[1]} == _spatsheet ]]; then
  _spatsheet "$@"
else
  (( $+functions[compdef] )) || { autoload -Uz compinit && compinit }
  compdef _spatsheet spatsheet
fi
