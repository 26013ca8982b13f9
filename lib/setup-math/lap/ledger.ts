/**
 * Where the pack's energy goes, J, in the order of the ledger's slots. `packJ` is what the cells give, less what braking puts back; the others and the
 * change of kinetic energy sum up to it. The first `integratedSlots` are integrated along the way, the brakes' come at once for each braking.
 */
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
  'slipJ',
  'corneringJ',
  'bumpsJ',
  'jumpsJ',
  'drivelineJ',
  'freewheelJ',
  'rippleJ',
  'brakeWindingJ',
  'brakeControllerJ',
  'brakeCanJ',
] as const
export const integratedSlots = 16

type Slot = (typeof ledgerSlots)[number]

export type EnergyLedger = Record<Slot, number> & {
  /** What braking turns to heat behind the gears: winding, controller and can together. */
  brakeJ: number
  /** What braking puts back into the cells; `packJ` is already less by it. */
  returnedJ: number
  /** Kinetic energy at the end minus that at the start, turning parts counted. */
  kineticJ: number
}

export const slot = Object.fromEntries(ledgerSlots.map((name, i) => [name, i])) as Record<Slot, number>

export function readLedger(sums: Float64Array, kineticJ: number, returnedJ: number): EnergyLedger {
  const out = { kineticJ, returnedJ } as EnergyLedger
  ledgerSlots.forEach((name, i) => {
    out[name] = sums[i] ?? 0
  })
  out.brakeJ = out.brakeWindingJ + out.brakeControllerJ + out.brakeCanJ
  return out
}

/** Everything that the pack's energy went into, summed: equals `packJ` when the ledger closes. */
export const ledgerSum = (e: EnergyLedger): number =>
  e.kineticJ + ledgerSlots.reduce((sum, name) => (name === 'packJ' ? sum : sum + e[name]), 0)

/** The losses in words, largest first, as a person reads them. */
export const ledgerNames: Record<Exclude<Slot, 'packJ'>, string> = {
  packLossJ: 'Pack and leads',
  accessoryJ: 'Servo, receiver and fan',
  controllerLossJ: 'Speed control',
  windingLossJ: 'Motor winding',
  noLoadLossJ: 'Motor iron and bearings',
  driveLossJ: 'Gears under load',
  dragJ: 'Air',
  rollingJ: 'Rolling',
  slipJ: 'Wheel slip',
  corneringJ: 'Cornering',
  bumpsJ: 'Bumps',
  jumpsJ: 'Jumps',
  drivelineJ: 'Driveline turning',
  freewheelJ: 'Speed control at part throttle',
  rippleJ: 'Current ripple',
  brakeWindingJ: 'Braking: winding',
  brakeControllerJ: 'Braking: speed control',
  brakeCanJ: 'Braking: can',
}
