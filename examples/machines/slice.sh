#!/bin/sh
# Makes one slice of a study: slice.sh VERB DESIGN FOLDER K/N OPTIONS...
# The slice is FOLDER/K.json, whole or not there: what is killed half way leaves nothing that counts, and is simply run again. A
# slice that is there already is not made again. RAMPWRIGHT says how the command is called here (default: npx rampwright).
set -eu
verb=$1 design=$2 folder=$3 slice=$4
shift 4
part=${slice%/*}
[ ! -e "$folder/$part.json" ] || exit 0
mkdir -p "$folder"
begun="$folder/.$part.$$.json"
trap 'rm -f "$begun"' EXIT
status=0
${RAMPWRIGHT:-npx rampwright} "$verb" "$design" "$@" --slice "$slice" --workers 1 --out "$begun" || status=$?
# Status 1 says that some check does not pass in some trial: the slice is whole all the same.
[ "$status" -le 1 ] || exit "$status"
mv "$begun" "$folder/$part.json"
