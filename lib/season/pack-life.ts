import { POUCH_REST_VOLTAGE } from '../card'
import type { Pack } from '../board'
import { median, resistanceAtTemperature, stateOfChargeAtRest } from '../setup-math'
import { leaveRaces, type Leaving, type Threshold } from './leave-races'
import { robustTrend, type Trend } from './robust-trend'
import type { SeasonRun } from './season-runs'

export const DAY_MS = 86_400_000

/** What somebody read off a pack once. */
export interface PackReading {
  /** ms since the epoch. */
  at: number
  resistanceMilliohm?: number | undefined
  /** Of the pack at that reading, °C. */
  resistanceAtC?: number | undefined
  restVoltageV?: number | undefined
  /** The pack had lain so long when its resting voltage was read. */
  storedDays?: number | undefined
  loadedVoltageV?: number | undefined
  loadA?: number | undefined
  /** Full to empty, as a charger measured it. */
  capacityMah?: number | undefined
  cycles?: number | undefined
}
type RunOfPack = Pick<SeasonRun, 'packId' | 'at' | 'day' | 'chargeBackMah' | 'restVoltageV'>

export const LIFE_FIGURES = ['resistance', 'capacity', 'load', 'storage', 'cycles'] as const
export type LifeFigure = (typeof LIFE_FIGURES)[number]

export interface LifePoint {
  /** ms since the epoch. */
  at: number
  value: number
  /** What it rests on, where that is not the reading itself. */
  from: 'reading' | 'as-read' | 'charge'
  /** Of the storage figure: how long it had lain, days. */
  days?: number
}

/** One figure of a pack over its life; the trend's x are days since the first point. */
export interface LifeSeries {
  points: readonly LifePoint[]
  /** Readings that can't be compared with these. */
  leftOut: number
  trend: Trend | null
  threshold: Threshold | null
  leaving: Leaving | null
}
export type PackLife = Readonly<Record<LifeFigure, LifeSeries>> & {
  /** The load of the readings under load, A; null without any. */
  loadA: number | null
}

/** Resistances are compared at this temperature, °C. */
export const COMPARED_AT_C = 25
/** A charge from at most this share of a full pack tells the capacity: the curve's error then counts little. Our choice. */
export const NEARLY_EMPTY = 0.25
/** Voltages under load are compared where the load is alike: within this share. Our choice. */
const LIKE_LOAD = 0.1
/** A pack leaves the races at this many times its first resistance, and below this share of its label's capacity. Common practice, no source. */
export const USUAL_LEAVE = { timesResistance: 2, capacityPercent: 80 } as const
/** The middle of so many first readings is what a pack began with. */
const FIRST = 3

/**
 * A pack's life: what was read off it, and what the charges after its runs say of its capacity.
 *
 * @param runs of any pack
 * Units: mΩ of the whole pack at 25 °C, mAh, V per cell, count.
 */
export function packLife(
  pack: Pick<Pack, 'id' | 'cells' | 'capacityMah' | 'leaveMilliohm' | 'leaveCapacityPercent'>,
  readings: readonly PackReading[],
  runs: readonly RunOfPack[],
): PackLife {
  const { cells } = pack
  const of = <K extends keyof PackReading>(field: K) =>
    readings.flatMap((r) => (r[field] === undefined ? [] : [{ ...r, value: Number(r[field]) }]))
  const resistance = of('resistanceMilliohm').map(atOneTemperature)
  const firstMilliohm = resistance.length
    ? median(
        byTime(resistance)
          .slice(0, FIRST)
          .map((p) => p.value),
      )
    : null
  const charges = chargesOf(pack, runs)
  const loads = of('loadedVoltageV').filter((r) => r.loadA !== undefined)
  const loadA = byTime(loads).at(-1)?.loadA ?? null
  const alike = loads.filter((r) => loadA !== null && Math.abs((r.loadA ?? 0) - loadA) <= LIKE_LOAD * loadA)
  const perCell = <T extends { value: number }>(list: readonly T[]) =>
    cells ? list.map((r) => ({ ...r, value: r.value / cells })) : []
  const stored = of('restVoltageV').filter((r) => r.storedDays !== undefined)
  return {
    resistance: series(
      resistance,
      0,
      pack.leaveMilliohm !== undefined
        ? { value: pack.leaveMilliohm, side: 'above', isCommonPractice: false }
        : firstMilliohm !== null
          ? { value: firstMilliohm * USUAL_LEAVE.timesResistance, side: 'above', isCommonPractice: true }
          : null,
    ),
    capacity: series(
      [...of('capacityMah').map((r) => point(r.at, r.value)), ...charges.points],
      charges.leftOut,
      pack.capacityMah === undefined
        ? null
        : {
            value: (pack.capacityMah * (pack.leaveCapacityPercent ?? USUAL_LEAVE.capacityPercent)) / 100,
            side: 'below',
            isCommonPractice: pack.leaveCapacityPercent === undefined,
          },
    ),
    load: series(
      perCell(alike).map((r) => point(r.at, r.value)),
      loads.length - alike.length,
    ),
    storage: series(perCell(stored).map((r) => ({ ...point(r.at, r.value), days: r.storedDays ?? 0 }))),
    cycles: series(of('cycles').map((r) => point(r.at, r.value))),
    loadA,
  }
}

const point = (at: number, value: number, from: LifePoint['from'] = 'reading'): LifePoint => ({
  at,
  value,
  from,
})
const byTime = <T extends { at: number }>(list: readonly T[]): T[] => [...list].sort((a, b) => a.at - b.at)

function series(points: readonly LifePoint[], leftOut = 0, threshold: Threshold | null = null): LifeSeries {
  const sorted = byTime(points)
  const xy = sorted.map((p) => ({ x: daysSince(sorted, p.at), y: p.value }))
  const trend = robustTrend(xy)
  return {
    points: sorted,
    leftOut,
    trend,
    threshold,
    leaving: threshold && leaveRaces(xy, trend, threshold),
  }
}

/** x of a moment in a series: days since its first point. */
export const daysSince = (points: readonly { at: number }[], at: number): number =>
  (at - (points[0]?.at ?? at)) / DAY_MS

/** A reading without a temperature stays as it was read. */
function atOneTemperature(r: PackReading & { value: number }): LifePoint {
  if (r.resistanceAtC === undefined) return point(r.at, r.value, 'as-read')
  const ohm = resistanceAtTemperature({
    resistanceOhm: r.value / 1000,
    measuredAtC: r.resistanceAtC,
    temperatureC: COMPARED_AT_C,
  })
  return point(r.at, ohm * 1000)
}

/**
 * Capacities that charges tell: what went back in, over the share that was missing by the resting voltage before. It assumes that the pack had rested,
 * that it ended full, that nothing is lost in charging, and the rest voltage curve of a common pouch cell; so only charges from nearly empty count.
 */
function chargesOf(
  { id, cells }: Pick<Pack, 'id' | 'cells'>,
  runs: readonly RunOfPack[],
): { points: LifePoint[]; leftOut: number } {
  const charged = runs.filter((r) => r.packId === id && r.chargeBackMah)
  const points = charged.flatMap((r): LifePoint[] => {
    const at = r.at ?? r.day
    const soc = cells && r.restVoltageV ? shareLeft(r.restVoltageV / cells) : null
    if (at === null || soc === null || soc > NEARLY_EMPTY) return []
    return [point(at, (r.chargeBackMah ?? 0) / (1 - soc), 'charge')]
  })
  return { points, leftOut: charged.length - points.length }
}

/** State of charge from the resting voltage of one cell; null for one that is no cell's. */
function shareLeft(voltsPerCell: number): number | null {
  const [lowest, highest] = [POUCH_REST_VOLTAGE[0]?.[1] ?? 0, POUCH_REST_VOLTAGE.at(-1)?.[1] ?? 0]
  if (voltsPerCell < lowest || voltsPerCell > highest) return null
  return stateOfChargeAtRest(POUCH_REST_VOLTAGE, voltsPerCell)
}
