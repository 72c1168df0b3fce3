// The design that `init` writes.

/** Differences between the systems. Slopes: the height over the active time of a line (ITU-R BT.1700), some 52 µs either way. */
const systems = {
  "525": { sync: "525/59.94", lines: "525 lines, 59.94 fields a second" },
  "625": { sync: "625/50", lines: "625 lines, 50 fields a second" },
} as const;

/** A line sweep for the nest-box monitor, in the canonical layout. */
export function starter(system: keyof typeof systems): string {
  const { sync, lines } = systems[system];
  return `# A line sweep: ${lines}. Change a value, then: rampwright check FILE
#
# CAUTION. A tube's anode has kilovolts that stay long after switch-off, its evacuated glass can implode, it makes
# X-radiation if the anode voltage is raised, and its chassis and supplies can be live or hold energy. See IEC 62368-1,
# IEC 61010-1 and IEC 61965. A computed result is not a safety assessment: local codes, the maker's service
# instructions and licensed people govern the work.

title "Nest-box monitor, line sweep"

# A named value can be sought (rampwright size), varied (vary) and spread over its tolerance (spread).
given timing = 15 nF +- 5 %

# What comes from outside: two rails, and the sync pulses of the camera.
supply plus12 = 12 V
supply plus5  = 5 V
signal gate = line sync of ${sync}, 0 V to 5 V, edges 200 ns

# The ramp: a current into a capacitor, a switch that the pulses close, a diode that holds the ramp where no pulse comes.
# An arrow gives the sign of a current.
current   feed  plus12 -> ramp 1 mA, headroom 0.9 V, output 2 Mohm
capacitor hold  ramp -> ground timing
switch    reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
diode     guard ramp -> plus5  drop 0.6 V, on 10 ohm

# What must hold in each line.
check "fills the tube"  peak of ramp each gate is 3.9 V +- 4 %
check "starts from nothing" floor of ramp each gate below 20 mV
check "straight enough" sweep error of ramp each gate below 0.5 %
check "back in time"    reset time of ramp each gate below 4 us

# rampwright size answers this line: the exact value, and what to buy for it.
find timing from 10 nF to 22 nF in E12 for "fills the tube"

# The same circuit when something happens; the checks below are asked of it then.
case "camera unplugged" gate stops at 2 ms
check "guard holds" peak of ramp after 3 ms between 5.5 V and 5.7 V
`;
}
