#compdef drylane
# Completes drylane in zsh.
_drylane() {
    local line
    local -a words_and_texts
    for line in "${(@f)$("${words[1]}" complete -- "${(@)words[2,CURRENT]}" 2>/dev/null)}"; do
        case $line in
        :files) _files ;;
        :folders) _files -/ ;;
        ?*) words_and_texts+=("${${line%%$'\t'*}//:/\\:}:${line#*$'\t'}") ;;
        esac
    done
    (( ${#words_and_texts} )) && _describe drylane words_and_texts
}
if [ "$funcstack[1]" = _drylane ]; then
    _drylane "$@"
else
    compdef _drylane drylane
fi
