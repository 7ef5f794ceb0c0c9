_clampmark() {
    local i cur prev opts cmd
    COMPREPLY=()
    if [[ "${BASH_VERSINFO[0]}" -ge 4 ]]; then
        cur="$2"
    else
        cur="${COMP_WORDS[COMP_CWORD]}"
    fi
    prev="$3"
    cmd=""
    opts=""

    for i in "${COMP_WORDS[@]:0:COMP_CWORD}"
    do
        case "${cmd},${i}" in
            ",$1")
                cmd="clampmark"
                ;;
            clampmark,adopt)
                cmd="clampmark__subcmd__adopt"
                ;;
            clampmark,body)
                cmd="clampmark__subcmd__body"
                ;;
            clampmark,carry)
                cmd="clampmark__subcmd__carry"
                ;;
            clampmark,check)
                cmd="clampmark__subcmd__check"
                ;;
            clampmark,completions)
                cmd="clampmark__subcmd__completions"
                ;;
            clampmark,diff)
                cmd="clampmark__subcmd__diff"
                ;;
            clampmark,found)
                cmd="clampmark__subcmd__found"
                ;;
            clampmark,gate)
                cmd="clampmark__subcmd__gate"
                ;;
            clampmark,git-diff)
                cmd="clampmark__subcmd__git__subcmd__diff"
                ;;
            clampmark,git-text)
                cmd="clampmark__subcmd__git__subcmd__text"
                ;;
            clampmark,grips)
                cmd="clampmark__subcmd__grips"
                ;;
            clampmark,help)
                cmd="clampmark__subcmd__help"
                ;;
            clampmark,history)
                cmd="clampmark__subcmd__history"
                ;;
            clampmark,merge)
                cmd="clampmark__subcmd__merge"
                ;;
            clampmark,new)
                cmd="clampmark__subcmd__new"
                ;;
            clampmark,record)
                cmd="clampmark__subcmd__record"
                ;;
            clampmark,restore)
                cmd="clampmark__subcmd__restore"
                ;;
            clampmark,torque)
                cmd="clampmark__subcmd__torque"
                ;;
            clampmark,tour)
                cmd="clampmark__subcmd__tour"
                ;;
            clampmark,try)
                cmd="clampmark__subcmd__try"
                ;;
            clampmark,turn)
                cmd="clampmark__subcmd__turn"
                ;;
            clampmark__subcmd__help,adopt)
                cmd="clampmark__subcmd__help__subcmd__adopt"
                ;;
            clampmark__subcmd__help,body)
                cmd="clampmark__subcmd__help__subcmd__body"
                ;;
            clampmark__subcmd__help,carry)
                cmd="clampmark__subcmd__help__subcmd__carry"
                ;;
            clampmark__subcmd__help,check)
                cmd="clampmark__subcmd__help__subcmd__check"
                ;;
            clampmark__subcmd__help,completions)
                cmd="clampmark__subcmd__help__subcmd__completions"
                ;;
            clampmark__subcmd__help,diff)
                cmd="clampmark__subcmd__help__subcmd__diff"
                ;;
            clampmark__subcmd__help,found)
                cmd="clampmark__subcmd__help__subcmd__found"
                ;;
            clampmark__subcmd__help,gate)
                cmd="clampmark__subcmd__help__subcmd__gate"
                ;;
            clampmark__subcmd__help,git-diff)
                cmd="clampmark__subcmd__help__subcmd__git__subcmd__diff"
                ;;
            clampmark__subcmd__help,git-text)
                cmd="clampmark__subcmd__help__subcmd__git__subcmd__text"
                ;;
            clampmark__subcmd__help,grips)
                cmd="clampmark__subcmd__help__subcmd__grips"
                ;;
            clampmark__subcmd__help,help)
                cmd="clampmark__subcmd__help__subcmd__help"
                ;;
            clampmark__subcmd__help,history)
                cmd="clampmark__subcmd__help__subcmd__history"
                ;;
            clampmark__subcmd__help,merge)
                cmd="clampmark__subcmd__help__subcmd__merge"
                ;;
            clampmark__subcmd__help,new)
                cmd="clampmark__subcmd__help__subcmd__new"
                ;;
            clampmark__subcmd__help,record)
                cmd="clampmark__subcmd__help__subcmd__record"
                ;;
            clampmark__subcmd__help,restore)
                cmd="clampmark__subcmd__help__subcmd__restore"
                ;;
            clampmark__subcmd__help,torque)
                cmd="clampmark__subcmd__help__subcmd__torque"
                ;;
            clampmark__subcmd__help,tour)
                cmd="clampmark__subcmd__help__subcmd__tour"
                ;;
            clampmark__subcmd__help,try)
                cmd="clampmark__subcmd__help__subcmd__try"
                ;;
            clampmark__subcmd__help,turn)
                cmd="clampmark__subcmd__help__subcmd__turn"
                ;;
            *)
                ;;
        esac
    done

    case "${cmd}" in
        clampmark)
            opts="-h -V --ledger --json --colour --help --version check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 1 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__adopt)
            opts="-h --undo --dry-run --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__body)
            opts="-h --at --elbow --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --at)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --elbow)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__carry)
            opts="-h --onto --parts --write --pick --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --onto)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --parts)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --write)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --pick)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__check)
            opts="-h --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__completions)
            opts="-h --ledger --json --colour --help bash zsh fish powershell elvish"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__diff)
            opts="-h --found --all --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --found)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__found)
            opts="-h --after --ask --to --date --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --after)
                    COMPREPLY=($(compgen -W "flight loan" -- "${cur}"))
                    return 0
                    ;;
                --to)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --date)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__gate)
            opts="-h --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__git__subcmd__diff)
            opts="-h --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__git__subcmd__text)
            opts="-h --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__grips)
            opts="-h --at --why --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --at)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --why)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help)
            opts="check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__adopt)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__body)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__carry)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__check)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__completions)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__diff)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__found)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__gate)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__git__subcmd__diff)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__git__subcmd__text)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__grips)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__help)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__history)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__merge)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__new)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__record)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__restore)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__torque)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__tour)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__try)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__help__subcmd__turn)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__history)
            opts="-h --since --all --marks --csv --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --since)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__merge)
            opts="-h --path --marker-size --base-label --ours-label --theirs-label --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --path)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --marker-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --base-label)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ours-label)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --theirs-label)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__new)
            opts="-h --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__record)
            opts="-m -h --found --all --mark --even-so --put-back --commit --message --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --found)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --even-so)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --message)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                -m)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__restore)
            opts="-h --at --found --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --at)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --found)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__torque)
            opts="-h --at --wrench --extension --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --at)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --wrench)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --extension)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__tour)
            opts="-h --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__try)
            opts="-h --at --keep --by --write --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --at)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --keep)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --by)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --write)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        clampmark__subcmd__turn)
            opts="-h --at --to --ledger --json --colour --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --at)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --to)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ledger)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --colour)
                    COMPREPLY=($(compgen -W "auto always never" -- "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
    esac
}

if [[ "${BASH_VERSINFO[0]}" -eq 4 && "${BASH_VERSINFO[1]}" -ge 4 || "${BASH_VERSINFO[0]}" -gt 4 ]]; then
    complete -F _clampmark -o nosort -o bashdefault -o default clampmark
else
    complete -F _clampmark -o bashdefault -o default clampmark
fi
