/** Where the pack's energy goes, J, in the order of the ledger's slots. */
export const ledgerSlots = [
  'packJ',
  'packLossJ',
  'accessoryJ',
  'controllerLossJ',
  'windingLossJ',
  'noLoadLossJ',
  'driveLossJ',
  'dragJ',
  'rollingJ',
  'brakeJ',
] as const

export type EnergyLedger = Record<(typeof ledgerSlots)[number], number> & {
  /** Kinetic energy at the end minus that at the start, turning parts counted. */
  kineticJ: number
}

export const slot = Object.fromEntries(ledgerSlots.map((name, i) => [name, i])) as Record<
  (typeof ledgerSlots)[number],
  number
>

export function readLedger(sums: Float64Array, kineticJ: number): EnergyLedger {
  const out = { kineticJ } as EnergyLedger
  ledgerSlots.forEach((name, i) => {
    out[name] = sums[i] ?? 0
  })
  return out
}
