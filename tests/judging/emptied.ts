// A capacitor on a current, emptied by an ideal switch: dV/dt = I/C (closed form), so 1 mA into 10 nF rises from 0 V to 5 V in the
// 50 us for which the switch is open in each period of 60 us.
// Designs of several tests begin with it; what they measure differs.

/** The sweep: a gate `gate`, and its ramp at the place `ramp`. */
export const emptied = `
signal gate = pulse 0 V to 5 V, wide 10 us, every 60 us
supply rail = 12 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground 10 nF
switch reset ramp -> ground closed while gate above 2.5 V
`;
