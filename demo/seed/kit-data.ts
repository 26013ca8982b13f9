import type { CollectionOf, FieldsIn, TrackSegment } from '@/lib/board'
import type { DemoPersonId } from '../roster'

type Data<C extends CollectionOf<'kit'>> = { id: string } & FieldsIn<'kit', C>

/**
 * Invented motors. Kv falls with the turns and resistance rises with their square within one family (winding law); the level itself, and
 * everything else in this file, is made up to be plausible.
 */
const motor = (
  id: string,
  name: string,
  turns: number,
  noLoadCurrentA: number,
  { kvTurns, milliohmPerTurn2 }: { kvTurns: number; milliohmPerTurn2: number },
): Data<'motors'> => ({
  id,
  name,
  kind: 'modified',
  turns,
  kvRpmPerVolt: Math.round(kvTurns / turns / 10) * 10,
  resistanceMilliohm: Number((milliohmPerTurn2 * turns ** 2).toFixed(1)),
  noLoadCurrentA,
  rotorInertiaGCm2: 9.5,
})
const MARRAM = { kvTurns: 31400, milliohmPerTurn2: 0.24 }
const SEDGE = { kvTurns: 34000, milliohmPerTurn2: 0.28 }
export const DEMO_MOTORS: readonly Data<'motors'>[] = [
  motor('marram-60-a', 'Marram 6.0 A', 6, 3.3, MARRAM),
  motor('marram-60-b', 'Marram 6.0 B', 6, 3.4, MARRAM),
  motor('marram-50', 'Marram 5.0', 5, 4.1, MARRAM),
  motor('marram-70', 'Marram 7.0', 7, 3.0, MARRAM),
  motor('sedge-75-a', 'Sedge 7.5 A', 7.5, 4.1, SEDGE),
  motor('sedge-75-b', 'Sedge 7.5 B', 7.5, 4.0, SEDGE),
  motor('sedge-75-c', 'Sedge 7.5 C', 7.5, 4.2, SEDGE),
  motor('sedge-85', 'Sedge 8.5', 8.5, 3.5, SEDGE),
  motor('marram-60-spare', 'Marram 6.0 spare', 6, 3.5, MARRAM),
  motor('sedge-75-spare', 'Sedge 7.5 spare', 7.5, 4.1, SEDGE),
]

const carOf = (
  drive: '2wd' | '4wd',
  id: string,
  mechanicId: DemoPersonId,
  motorId: string,
  controllerId: 'withy' | 'sluice',
  weightG: number,
): Data<'cars'> => ({
  id,
  mechanicId,
  drive,
  motorId,
  controllerId,
  weightG,
  wheelbaseMm: drive === '4wd' ? 282 : 284,
  cgHeightMm: drive === '4wd' ? 52 : 55,
  frontSharePercent: drive === '4wd' ? 46 : 38,
  internalRatio: drive === '4wd' ? 2.8 : 2.6,
  gearModuleMm: 0.5292,
  slotMinMm: 25,
  slotMaxMm: 29.5,
  driveEfficiency: drive === '4wd' ? 0.85 : 0.88,
  dragAreaM2: 0.02,
  rollingCoefficient: 0.04,
  wheelInertiaKgM2: 0.00006,
})
export const DEMO_CARS: readonly Data<'cars'>[] = [
  carOf('4wd', 'rook', 'ilse-brandt', 'marram-60-a', 'withy', 1634),
  carOf('2wd', 'wren', 'ilse-brandt', 'sedge-75-a', 'withy', 1522),
  carOf('4wd', 'heron', 'ilse-brandt', 'marram-60-b', 'sluice', 1641),
  carOf('2wd', 'plover', 'ilse-brandt', 'sedge-75-b', 'sluice', 1517),
  carOf('4wd', 'kestrel', 'bas-verhoef', 'marram-50', 'withy', 1628),
  carOf('2wd', 'dunlin', 'bas-verhoef', 'sedge-75-c', 'sluice', 1509),
  carOf('4wd', 'curlew', 'bas-verhoef', 'marram-70', 'withy', 1646),
  carOf('2wd', 'siskin', 'bas-verhoef', 'sedge-85', 'sluice', 1526),
]

const two = (n: number) => String(n).padStart(2, '0')

/** Sixteen two-cell packs, from nearly new to tired. */
export const DEMO_PACKS: readonly Data<'packs'>[] = Array.from({ length: 16 }, (_, i) => ({
  id: `p${two(i + 1)}`,
  label: `P${two(i + 1)}`,
  cells: 2,
  capacityMah: i % 4 === 3 ? 5200 : 6000,
  resistanceMilliohm: Number((3.6 + 0.35 * ((i * 5) % 9)).toFixed(2)),
  maxChargeC: i % 4 === 3 ? 2 : 1.5,
  cycles: 6 + ((i * 11) % 47),
  weightG: i % 4 === 3 ? 198 : 212,
  health: i === 15 ? ('practice-only' as const) : ('good' as const),
  order: i,
}))

export const DEMO_SUPPLIES: readonly Data<'supplies'>[] = [{ id: 'supply', label: 'Supply 1', powerW: 1200 }]
export const DEMO_CHARGERS: readonly Data<'chargers'>[] = [
  {
    id: 'charger-a',
    label: 'Charger A',
    channels: 4,
    channelCurrentA: 10,
    channelPowerW: 120,
    supplyId: 'supply',
  },
  {
    id: 'charger-b',
    label: 'Charger B',
    channels: 2,
    channelCurrentA: 15,
    channelPowerW: 200,
    supplyId: 'supply',
  },
]

/** [drive, compound, tread, diameter mm, runs, runs it is good for] */
const TIRES = [
  ['4wd', 'soft', 'low pin', 83.2, 1, 6],
  ['4wd', 'soft', 'low pin', 83, 2, 6],
  ['4wd', 'soft', 'low pin', 82.8, 2, 6],
  ['4wd', 'soft', 'low pin', 83.1, 1, 6],
  ['2wd', 'soft', 'mini pin', 82.6, 2, 5],
  ['2wd', 'soft', 'mini pin', 82.5, 2, 5],
  ['2wd', 'soft', 'mini pin', 82.9, 1, 5],
  ['2wd', 'soft', 'mini pin', 82.7, 1, 5],
  ['4wd', 'super soft', 'low pin', 83.4, 0, 4],
  ['4wd', 'super soft', 'low pin', 83.4, 0, 4],
  ['2wd', 'super soft', 'mini pin', 83, 0, 4],
  ['2wd', 'super soft', 'mini pin', 83, 0, 4],
  ['4wd', 'medium', 'small block', 82.2, 4, 8],
  ['2wd', 'medium', 'small block', 81.9, 5, 8],
] as const
const FRESH: readonly Data<'tireSets'>[] = TIRES.map(
  ([drive, compound, tread, diameterMm, runs, runsGood], i) => ({
    id: `t${two(i + 1)}`,
    label: `T${two(i + 1)}`,
    axle: 'set',
    drive,
    compound,
    tread,
    insert: 'closed cell, medium',
    diameterMm,
    runs,
    runsGood,
    order: i,
  }),
)
/** Runs at the season's three meetings; those of the meeting after them are counted by its heats. */
const SEASON_RUNS = 9
/** What the eight cars ran on at the meetings before: the same rubber, worn since. */
const WORN: readonly Data<'tireSets'>[] = FRESH.slice(0, 8).map((set, i) => ({
  ...set,
  id: `t${two(i + 15)}`,
  label: `T${two(i + 15)}`,
  runs: SEASON_RUNS,
  runsGood: SEASON_RUNS + 3,
  order: i + FRESH.length,
}))
export const DEMO_WORN_SETS: readonly string[] = WORN.map((t) => t.id)
export const DEMO_TIRES: readonly Data<'tireSets'>[] = [...FRESH, ...WORN]

/** An invented clay bowl: six straights and six corners, driven in this order; as drawn it closes to a few centimetres. */
export const DEMO_SEGMENTS: TrackSegment[] = [
  { kind: 'straight', name: 'Seawall straight', lengthM: 54.9, grip: 1 },
  { kind: 'corner', name: 'Sluice hairpin', radiusM: 3.5, arcDegrees: 180, turn: 'left', grip: 1 },
  { kind: 'straight', name: 'Triple', lengthM: 16, grip: 0.95 },
  { kind: 'corner', name: 'Right sweeper', radiusM: 6, arcDegrees: 135, turn: 'right', grip: 1 },
  { kind: 'straight', name: 'Step-up', lengthM: 11, grip: 0.9 },
  { kind: 'corner', name: 'Inner hairpin', radiusM: 2.5, arcDegrees: 170, turn: 'left', grip: 0.95 },
  { kind: 'straight', name: 'Back straight', lengthM: 38, grip: 1 },
  { kind: 'corner', name: 'Reed corner', radiusM: 3.5, arcDegrees: 110, turn: 'right', grip: 0.95 },
  { kind: 'straight', name: 'Washboard', lengthM: 11, grip: 0.85 },
  { kind: 'corner', name: 'Gull corner', radiusM: 3.5, arcDegrees: 175, turn: 'left', grip: 1 },
  { kind: 'straight', name: 'Tabletop', lengthM: 14.6, grip: 0.95 },
  { kind: 'corner', name: 'Last corner', radiusM: 4.5, arcDegrees: 80, turn: 'left', grip: 1 },
]
