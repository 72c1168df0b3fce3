#!/bin/sh
# The command, for tests: killing.sh FOLDER PROGRAM WORDS... At its first call for slice 2 it stands by until the work is under way,
# which the process's own computing time shows, and is killed there without a word, as by a machine that dies.
folder=$1
shift
case " $* " in
*" --slice 2/"*)
  if mkdir "$folder/struck" 2>/dev/null; then
    node "$@" &
    child=$!
    # Fields 14 and 15: hundredths of a second spent computing. A start alone takes less than this.
    while [ "$(awk '{ print ($14 + $15 > 60) }' "/proc/$child/stat" 2>/dev/null || echo gone)" = 0 ]; do sleep 0.05; done
    kill -KILL "$child" && echo "killed" >"$folder/struck/half"
    wait "$child"
    exit $?
  fi
  ;;
esac
exec node "$@"
