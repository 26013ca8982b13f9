import { RangeProblem, rankGearPairs, rollout, type RankedGearPair } from '@/lib/setup-math'
import type { Refusal } from '@/lib/core/result'
import { demand, refusalOf } from './calculator'

export const GEAR_PAIR_FIELDS = [
  { id: 'target', label: 'Rollout wanted', unit: 'mm/turn', min: 5, max: 200, start: 43.18 },
  { id: 'internalRatio', label: 'Internal ratio', unit: '', min: 0.5, max: 10, start: 2.6 },
  { id: 'tire', label: 'Driven tire diameter', unit: 'mm', min: 40, max: 150, start: 83 },
  { id: 'pinionFrom', label: 'Pinions from', unit: 't', min: 8, max: 60, step: 1, start: 28 },
  { id: 'pinionTo', label: 'Pinions to', unit: 't', min: 8, max: 60, step: 1, start: 34 },
  { id: 'spurFrom', label: 'Spurs from', unit: 't', min: 30, max: 140, step: 1, start: 69 },
  { id: 'spurTo', label: 'Spurs to', unit: 't', min: 30, max: 140, step: 1, start: 75 },
  { id: 'moduleMm', label: 'Module', unit: 'mm', min: 0.2, max: 1.5, start: 0.5 },
  { id: 'slotMin', label: 'Slot: shortest center distance', unit: 'mm', min: 5, max: 200, start: 25 },
  { id: 'slotMax', label: 'Slot: longest center distance', unit: 'mm', min: 5, max: 200, start: 26.5 },
] as const
export type GearPairField = (typeof GEAR_PAIR_FIELDS)[number]['id']
/** The slot's two ends may both be empty: then the mount is left out. */
export type GearPairValues = Readonly<Record<GearPairField, number | null>>

export interface NearPair extends RankedGearPair {
  rolloutMm: number
}
export type GearPairAnswer =
  { ok: true; pairs: NearPair[]; hasSlot: boolean } | { ok: false; refusal: Refusal | string }

const upTo = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i)
const labelOf = (id: string) => GEAR_PAIR_FIELDS.find((f) => f.id === id)?.label ?? id

/** Every pair of the gears at hand, nearest to the rollout first, with how it sits in the mount's slot. */
export function nearestPairs(values: GearPairValues): GearPairAnswer {
  const { target, internalRatio, tire, pinionFrom, pinionTo, spurFrom, spurTo } = values
  const { moduleMm, slotMin, slotMax } = values
  const hasSlot = slotMin !== null || slotMax !== null
  const missing = GEAR_PAIR_FIELDS.filter(
    (f) => values[f.id] === null && (hasSlot || !['moduleMm', 'slotMin', 'slotMax'].includes(f.id)),
  )
  if (missing.length)
    return { ok: false, refusal: `Needs ${missing.map((f) => f.label.toLowerCase()).join(', ')}.` }
  const n = (x: number | null) => x ?? 0
  try {
    demand(n(pinionTo) >= n(pinionFrom), 'pinionTo', n(pinionTo), `${pinionFrom} t or more`)
    demand(n(spurTo) >= n(spurFrom), 'spurTo', n(spurTo), `${spurFrom} t or more`)
    if (hasSlot) demand(n(slotMax) >= n(slotMin), 'slotMax', n(slotMax), `${slotMin} mm or more`)
    const ranked = rankGearPairs({
      pinions: upTo(n(pinionFrom), n(pinionTo)),
      spurs: upTo(n(spurFrom), n(spurTo)),
      internalRatio: n(internalRatio),
      targetFinalDrive: (Math.PI * n(tire)) / n(target),
      ...(hasSlot && {
        moduleMm: n(moduleMm),
        slot: { minCentreMm: n(slotMin), maxCentreMm: n(slotMax) },
      }),
    })
    const pairs = ranked.map((p) => ({
      ...p,
      rolloutMm: rollout({ tireDiameterMm: n(tire), finalDrive: p.finalDrive }),
    }))
    return { ok: true, pairs, hasSlot }
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    return { ok: false, refusal: refusalOf(error, labelOf(error.field)) }
  }
}
