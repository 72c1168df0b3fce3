#!/bin/sh
# A study in slices as an array job of Slurm, in the folder of the design with slice.sh beside it:
#   sbatch --array=1-100 slurm.sh VERB DESIGN FOLDER OPTIONS...
# A task whose node fails, or that is put back in the queue, begins its slice anew; the others are not touched.
#SBATCH --job-name=slices
#SBATCH --ntasks=1
#SBATCH --cpus-per-task=1
#SBATCH --requeue
#SBATCH --open-mode=append
#SBATCH --output=slice-%a.log
set -eu
verb=$1 design=$2 folder=$3
shift 3
exec sh slice.sh "$verb" "$design" "$folder" "$SLURM_ARRAY_TASK_ID/$SLURM_ARRAY_TASK_COUNT" "$@"
