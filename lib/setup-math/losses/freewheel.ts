/**
 * While the chopper is open the current runs on through the bridge's diodes or the dead time of its switches: V_d I (1 - d).
 * Source: Mohan, Undeland, Robbins, Power Electronics, ch. 7 (from memory); a measured controller loses a constant 0.15 V at part throttle (read).
 */
export const freewheelPrior = { volts: [0.2, 0.1] } as const
