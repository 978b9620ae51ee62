# Completes drylane in bash, from 3.2 on.
_drylane() {
    local line path kind cur=${COMP_WORDS[COMP_CWORD]}
    COMPREPLY=()
    while IFS= read -r line; do
        case $line in
        :files) kind=-f ;;
        :folders) kind=-d ;;
        *) COMPREPLY+=("${line%%$'\t'*}") && continue ;;
        esac
        compopt -o filenames 2>/dev/null
        while IFS= read -r path; do COMPREPLY+=("$path"); done < <(compgen "$kind" -- "$cur")
    done < <("${COMP_WORDS[0]}" complete -- "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null)
}
complete -F _drylane drylane
