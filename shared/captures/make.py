# Makes the fixtures of this folder with programs that are not ours: numpy and pandas (Debian's python3-numpy and python3-pandas),
# and sox. A ramp of 1 V a millisecond that begins anew every 2 ms, sampled every 10 us, 400 samples; a second channel is a square
# of 5 V with the same period. `python3 make.py FOLDER`
import subprocess
import sys
import wave

import numpy as np
import pandas as pd

folder = sys.argv[1]
k = np.arange(400)
t = k * 10e-6
ramp = (k % 200) * 10e-6 * 1000
gate = np.where(k % 200 < 100, 5.0, 0.0)

np.savetxt(f"{folder}/numpy.csv", np.column_stack([t, ramp, gate]), delimiter=",", header="Time (s),ramp (V),gate (V)", fmt="%.6e")
frame = pd.DataFrame({"Time (ms)": t * 1e3, "ramp (mV)": ramp * 1e3, "gate (V)": gate})
frame.loc[[17, 300], "ramp (mV)"] = np.nan
frame.to_csv(f"{folder}/pandas.csv", index=False)
frame.to_csv(f"{folder}/pandas-comma.csv", index=False, sep=";", decimal=",")
frame.to_csv(f"{folder}/pandas-index.csv", sep="\t")

# Full scale is 4 V: 16 bits, two channels, 100 kHz.
pcm = np.round(np.column_stack([ramp, gate / 2]) / 4 * 2**15).clip(-(2**15), 2**15 - 1).astype("<i2")
with wave.open(f"{folder}/python.wav", "wb") as out:
    out.setnchannels(2)
    out.setsampwidth(2)
    out.setframerate(100_000)
    out.writeframes(pcm.tobytes())
for name, bits in (("sox24.wav", ["-b", "24"]), ("sox32f.wav", ["-e", "floating-point", "-b", "32"]), ("sox8.wav", ["-b", "8"])):
    subprocess.run(["sox", "-D", f"{folder}/python.wav", *bits, f"{folder}/{name}"], check=True)
subprocess.run(["sox", "-D", f"{folder}/python.wav", "-t", "dat", f"{folder}/sox.dat"], check=True)
