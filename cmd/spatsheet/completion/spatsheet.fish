# fish completion of spatsheet, as printed by `spatsheet completion fish`.
function __spatsheet_complete
    set -l words (commandline -opc)
    set -l program $words[1]
    set -e words[1]
    command $program --complete "="(commandline -ct) $words 2>/dev/null
end
complete -c spatsheet -f -k -a '(__spatsheet_complete)'
