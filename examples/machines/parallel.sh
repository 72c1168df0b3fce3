#!/bin/sh
# A study in slices with GNU parallel: parallel.sh N VERB DESIGN FOLDER OPTIONS...
# As many at a time as this machine has cores; PARALLEL='--sshloginfile hosts' takes others too, which see the same folder. What
# fails is tried three times; called again after a failure, it makes the slices that are missing, and no other.
set -eu
slices=$1 verb=$2 design=$3 folder=$4
shift 4
mkdir -p "$folder"
seq "$slices" | parallel --joblog "$folder/jobs.log" --retries 3 --quote \
  sh "$(dirname "$0")/slice.sh" "$verb" "$design" "$folder" "{}/$slices" "$@"
