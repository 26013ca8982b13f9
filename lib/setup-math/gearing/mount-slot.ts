import { checkNumber } from '../check-number'
import { RangeProblem } from '../range-problem'
import { centreDistance } from './center-distance'

/** How far the motor mount lets the motor move: the shortest and the longest center distance, mm. */
export interface MountSlot {
  minCentreMm: number
  maxCentreMm: number
}

export function checkMountSlot(slot: MountSlot): MountSlot {
  const limit = { min: 0, max: 1000, above: true, unit: 'mm' }
  checkNumber('slot.minCentreMm', slot.minCentreMm, limit)
  checkNumber('slot.maxCentreMm', slot.maxCentreMm, limit)
  if (slot.minCentreMm > slot.maxCentreMm) {
    throw new RangeProblem(
      'slot.maxCentreMm',
      slot.maxCentreMm,
      `at least slot.minCentreMm (${slot.minCentreMm})`,
    )
  }
  return slot
}

/**
 * How a pair sits in the mount's slot: the center distance it needs and the travel left on either side, mm (negative:
 * it does not reach). Backlash is not counted: the mechanic sets it by hand.
 * @throws RangeProblem
 */
export function pairInSlot(
  pair: { pinion: number; spur: number; moduleMm: number },
  slot: MountSlot,
): { fits: boolean; centreMm: number; toMinMm: number; toMaxMm: number } {
  checkMountSlot(slot)
  const centreMm = centreDistance(pair)
  const toMinMm = centreMm - slot.minCentreMm
  const toMaxMm = slot.maxCentreMm - centreMm
  return { fits: toMinMm >= 0 && toMaxMm >= 0, centreMm, toMinMm, toMaxMm }
}
