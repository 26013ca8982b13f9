import type { BoardView, Pack, TireSet } from '../../board'
import { compareNames } from '../../core/compare-names'
import type { RunInfo } from '../day/runs'

/** Something of the kit that a run may be given. */
export interface KitOption<T> {
  item: T
  /** The class or the car can run it. */
  fits: boolean
  /** Other runs to come that have it already. */
  promisedTo: readonly RunInfo[]
}

type Rank<T> = (option: KitOption<T>) => number

/** Sooner in the list is a lower number; the first rank that differs decides, then the label. */
function inOrder<T extends { label?: string | undefined }>(
  options: readonly KitOption<T>[],
  ranks: readonly Rank<T>[],
): KitOption<T>[] {
  return [...options].sort((a, b) => {
    for (const rank of ranks) {
      const by = rank(a) - rank(b)
      if (by !== 0) return by
    }
    return compareNames(a.item.label, b.item.label)
  })
}

const toCome = (r: RunInfo): boolean => r.state === 'upcoming' || r.state === 'called'

/** What is nearest to being in the car. Common practice, no source. */
const NEARNESS: Readonly<Record<NonNullable<NonNullable<Pack['state']>['v']>, number>> = {
  'in-car': 1,
  charged: 0,
  charging: 1,
  storage: 2,
  resting: 3,
  used: 3,
  retired: 9,
}
const HEALTH = { good: 0, 'practice-only': 1, suspect: 2 } as const

/**
 * The packs that a run may be given, what fits first: the one it has, then those of the class's cells, in good health, promised to no other run, charged
 * before what must be charged. Retired packs are left out.
 */
export function packsFor(view: BoardView, runs: readonly RunInfo[], run: RunInfo): KitOption<Pack>[] {
  const cells = run.raceClass?.cells
  const options = view.packs.live
    .filter((p) => p.state?.v !== 'retired')
    .map((item): KitOption<Pack> => ({
      item,
      fits: cells === undefined || item.cells === undefined || item.cells === cells,
      promisedTo: runs.filter((r) => r.runId !== run.runId && toCome(r) && r.run?.packId?.v === item.id),
    }))
  return inOrder(options, [
    (o) => Number(o.item.id !== run.run?.packId?.v),
    (o) => Number(!o.fits),
    (o) => HEALTH[o.item.health ?? 'good'],
    (o) => Number(o.promisedTo.length > 0),
    (o) => (o.item.state?.v ? NEARNESS[o.item.state.v] : 3),
  ])
}

/** A set that has run as often as it is good for, or that somebody called worn. */
const isWorn = (t: TireSet): boolean =>
  t.state?.v === 'worn' || (t.runs !== undefined && t.runsGood !== undefined && t.runs >= t.runsGood)

/** The tire sets that a run may be given, what fits first: the one it has, what is on this car, what is meant for its drive and not worn, free before promised. */
export function tiresFor(view: BoardView, runs: readonly RunInfo[], run: RunInfo): KitOption<TireSet>[] {
  const drive = view.cars.get(run.carId)?.drive
  const options = view.tireSets.live.map((item): KitOption<TireSet> => ({
    item,
    fits: !item.drive || !drive || item.drive === drive,
    promisedTo: runs.filter((r) => r.carId !== run.carId && toCome(r) && r.run?.tireSetId?.v === item.id),
  }))
  return inOrder(options, [
    (o) => Number(o.item.id !== run.run?.tireSetId?.v),
    (o) => Number(!o.fits),
    (o) => Number(isWorn(o.item)),
    (o) => Number(o.promisedTo.length > 0 || !!(o.item.onCarId && o.item.onCarId !== run.carId)),
    (o) => Number(o.item.onCarId !== run.carId),
  ])
}
