/**
 * Rest voltage of a lithium cobalt oxide pouch cell over state of charge, in steps of 5%: `[stateOfCharge, volts per cell]`.
 * Source: PyBaMM, parameter set Ai2020, lithium-balanced between 3.0 and 4.2 V. Used for packs whose own curve nobody measured.
 */
const VOLTS = [
  3.0, 3.5353, 3.6391, 3.6654, 3.6953, 3.7167, 3.7331, 3.7481, 3.7622, 3.7763, 3.7925, 3.8122, 3.8365, 3.8676,
  3.9089, 3.9519, 3.9944, 4.0409, 4.0879, 4.1384, 4.2,
] as const

export const POUCH_REST_VOLTAGE: [number, number][] = VOLTS.map((v, i) => [i / (VOLTS.length - 1), v])
