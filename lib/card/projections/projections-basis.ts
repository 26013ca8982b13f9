import {
  parametersOf,
  type BoardView,
  type CardParameter,
  type Quantity,
  type Setting,
  type TrackSegment,
} from '../../board'
import { lossPriors, stateOfChargeAtRest, type LossSurface, type TriggerSettings } from '../../setup-math'
import type { RunRecordOf } from './run-records'
import { cardRow } from '../setup-card/card-rows'
import { benchFigures, type Read } from './projections-bench'
import { raceSecondsOf } from '../day/day-forecast'
import { latestCondition } from './latest-condition'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import type { InputId, InputSource, ProjectionInput } from './projections-inputs'
import type { RunGround } from '../day/runs'

/** What a projection lacks, and where that is entered. */
export interface Lack {
  what: string
  place: 'card' | 'car' | 'motor' | 'track'
}

export interface ClassLimits {
  name: string | null
  minimumWeightG: number | null
  voltageLimitV: number | null
  dynamicTimingAllowed: boolean | null
  cells: number | null
}

/**
 * Everything that a card's projections rest on, as plain data: it crosses into the worker and is its own key in the memory of what was computed.
 */
export interface ProjectionBasis {
  carId: string
  driven: '2wd' | '4wd'
  inputs: ProjectionInput[]
  /** Speed and lap need these first. */
  lacks: Lack[]
  trackId: string | null
  segments: readonly TrackSegment[] | null
  raceSeconds: number
  limits: ClassLimits
  trigger: TriggerSettings
  surface: LossSurface
  /** Past runs of this car with what was measured after them; the model's error is learned from them. */
  records: RunRecordOf[]
}

/** Trial values that stand in for the card's: what-if. */
export type Trial = Readonly<Record<string, Setting>>

/** Common practice, no source: what a 1/10 off-road car has when nobody measured it, with its standard deviation. */
export const USUAL = {
  internalRatio: { '2wd': [2.6, 0.1], '4wd': [2.5, 0.1] },
  tireDiameterMm: [83, 1.5],
  massG: { '2wd': [1550, 50], '4wd': [1640, 50] },
  frontSharePercent: { '2wd': [38, 3], '4wd': [46, 3] },
  wheelbaseMm: [283, 4],
  cgHeightMm: [54, 8],
  dragAreaM2: [0.02, 0.005],
  // Of what the gears carry. The 0.80 to 0.92 that the trade tells of whole drivelines holds their own torque too, which is an input of its own.
  efficiency: [0.9, 0.03],
  wheelInertiaGM2: [0.06, 0.02],
  rotorGCm2: [9.5, 3],
  // Kv is taken as measured at this timing of the can.
  kvTimingDeg: [30, 2],
  advanceGain: [1, 0.3],
  controllerMilliohm: [0.7, 0.35],
  capacityMah: [5800, 400],
  packMilliohm: [5, 1.5],
  leadsMilliohm: [1.5, 0.7],
  stateOfChargePercent: [99, 1],
  // The mean of servo, receiver and fan over a run; their peaks are several times that.
  accessoryA: [1, 0.4],
  exitTriggerPercent: [60, 25],
  brakeReturnPercent: [40, 20],
  warmUpLaps: [2, 1],
  toGridLaps: [0.5, 0.25],
  afterFlagLaps: [1, 0.4],
  easyLapPercent: [60, 12],
  airC: [22, 5],
  // A two-node motor of this size (36 x 52 mm, 180 g).
  windingToCanKPerW: [0.8, 0.25],
  // A bare can with air past it at 3 m/s, by handbook correlations; one deviation down for 6 m/s, one up for 2 m/s (`canToAmbient`).
  canToAirKPerW: [4, 1],
  // 35 g of aluminium at 0.9 J/(g K) and 110 g of steel and magnet at 0.45; the masses are estimates, no source.
  canJPerK: [81, 10],
  trackScalePercent: [100, 2],
} as const
/** Grip by surface: the middle of the usual ranges of setup-math. Common practice, no source. */
export const USUAL_GRIP: Record<string, readonly [number, number]> = {
  clay: [1, 0.15],
  astroturf: [1, 0.15],
  carpet: [1.25, 0.15],
  'dusty-dirt': [0.55, 0.1],
  asphalt: [0.95, 0.2],
  other: [0.9, 0.2],
}

const numberOf = (v: Setting | null | undefined): number | null => (typeof v === 'number' ? v : null)

/** The latest word on the conditions that says something about `field`: of those up to a time, where there is one; ms since the epoch. */
export function conditionAt(
  view: Pick<BoardView, 'conditions'>,
  field: 'airC' | 'trackC' | 'grip',
  upTo: number,
): number | null {
  return (latestCondition(view, field, upTo) ?? latestCondition(view, field))?.[field]?.v ?? null
}

/**
 * The card of a car, with what is asked for (else what is fitted), as the ground of its projections, without what was measured after its runs.
 * @param at of when the conditions are, ms since the epoch
 */
export function cardBasis(
  view: BoardView,
  carId: string,
  run: RunGround | undefined,
  trial: Trial = {},
  at = Infinity,
): Omit<ProjectionBasis, 'records'> {
  const car = view.cars.get(carId)
  const driven = car?.drive ?? run?.raceClass?.drive ?? '4wd'
  const parameters = parametersOf(view, carId)
  const values = new Map<string, Setting | null>()
  const quantities = new Map<Quantity, number>()
  const teamLabels = new Map<Quantity, string>()
  for (const p of parameters) {
    const row = cardRow(view, carId, p)
    const value = trial[p.id] ?? row.assigned ?? row.fitted
    values.set(p.id, value)
    const n = numberOf(value)
    if (p.quantity && p.quantity !== 'none' && n !== null) {
      quantities.set(p.quantity, inCommonUnit(p, n))
      teamLabels.set(p.quantity, p.label)
    }
  }
  const card = (id: string) => numberOf(values.get(id))
  const motorId = typeof trial['motor'] === 'string' ? trial['motor'] : car?.motorId
  const motor = view.motors.get(motorId)
  const control = view.controllers.get(car?.controllerId)
  const packId =
    typeof trial['pack'] === 'string' ? trial['pack'] : (run?.run?.packIn?.v ?? run?.run?.packId?.v)
  const pack = view.packs.get(packId)
  const tireId =
    typeof trial['tires'] === 'string' ? trial['tires'] : (run?.run?.tiresOn?.v ?? run?.run?.tireSetId?.v)
  const tires = view.tireSets.get(tireId)
  const track = view.tracks.get(view.meeting.get('meeting')?.trackId)

  const inputs = new Map<InputId, ProjectionInput>()
  const put = (
    id: InputId,
    value: number | null | undefined,
    sd: number,
    source: InputSource,
    label?: string,
  ): boolean => {
    if (value === null || value === undefined || inputs.has(id)) return false
    inputs.set(id, { id, value, sd, source, ...(label ? { label } : {}) })
    return true
  }
  const usual = (id: keyof typeof USUAL) => {
    const u = USUAL[id]
    const [value, sd] = 'length' in u ? u : u[driven]
    put(id, value, sd, 'assumed')
  }

  const ground: LossSurface =
    track?.surface && track.surface in lossPriors.bumpsN ? (track.surface as LossSurface) : 'clay'
  const prior = (id: InputId, [value, sd]: readonly [number, number], times = 1) =>
    put(id, value * times, sd * times, 'assumed')

  const bench = benchFigures({
    motor,
    car,
    pack,
    driven,
    spur: card('spur'),
    pinion: card('pinion'),
    internalRatio: car?.internalRatio ?? USUAL.internalRatio[driven][0],
    timingDeg: card('motorTiming'),
  })
  const read = (id: InputId, figure: Read | undefined, source: InputSource = 'kit') =>
    figure && put(id, figure[0], figure[1], source)

  put('pinion', card('pinion'), 0, 'card')
  put('spur', card('spur'), 0, 'card')
  put('internalRatio', car?.internalRatio, 0, 'kit')
  usual('internalRatio')
  // A trial tire set brings its own diameter; otherwise what was measured on the car counts.
  if (trial['tires'] !== undefined && trial['tireDiameter'] === undefined)
    put('tireDiameterMm', tires?.diameterMm, 0.5, 'kit')
  put('tireDiameterMm', card('tireDiameter'), 0.3, 'card')
  put('tireDiameterMm', tires?.diameterMm, 0.5, 'kit')
  usual('tireDiameterMm')
  put('massG', card('weight'), 5, 'card')
  put('massG', car?.weightG, 10, 'kit')
  usual('massG')
  put('frontSharePercent', car?.frontSharePercent, 1, 'kit')
  usual('frontSharePercent')
  put('wheelbaseMm', car?.wheelbaseMm, 1, 'kit')
  usual('wheelbaseMm')
  put('cgHeightMm', car?.cgHeightMm, 5, 'kit')
  usual('cgHeightMm')
  put('rolling', car?.rollingCoefficient, 0.006, 'kit')
  prior('rolling', lossPriors.rolling[ground])
  put('dragAreaM2', car?.dragAreaM2, 0.003, 'kit')
  usual('dragAreaM2')
  put('efficiency', car?.driveEfficiency, 0.02, 'kit')
  usual('efficiency')
  put(
    'wheelInertiaGM2',
    car?.wheelInertiaKgM2 === undefined ? null : car.wheelInertiaKgM2 * 1000,
    0.01,
    'kit',
  )
  usual('wheelInertiaGM2')

  put('grip', conditionAt(view, 'grip', at), 0.07, 'conditions')
  put('grip', track?.grip, track?.measuredLapS ? 0.05 : 0.1, 'track')
  prior('rollingPerSpeed', lossPriors.rollingPerSpeed)
  prior('bumpsN', lossPriors.bumpsN[ground])
  prior('peakSlipPercent', lossPriors.peakSlip[ground], 100)
  prior('peakAngleDeg', lossPriors.peakAngleDeg)
  read('drivelineMNm', bench.drivelineMNm)
  prior('drivelineMNm', lossPriors.drivelineNm[driven], 1000)
  prior('liftAreaCm2', lossPriors.liftAreaM2, 10_000)
  prior('rippleFactor', lossPriors.formFactor2)
  prior('noLoadSpeedPercent', lossPriors.noLoadSpeedShare, 100)
  read('noLoadRise', bench.noLoadRise)
  prior('noLoadRise', lossPriors.noLoadRisePerDegree, 100)
  prior('freewheelV', lossPriors.freewheelV)
  prior('slowShortMilliohm', lossPriors.slowShortMilliohm)
  prior('slowLongMilliohm', lossPriors.slowLongMilliohm)
  const surface = USUAL_GRIP[track?.surface ?? 'other'] ?? [0.9, 0.2]
  put('grip', surface[0], surface[1], 'assumed')
  put('airC', conditionAt(view, 'airC', at), 1, 'conditions')
  usual('airC')
  usual('trackScalePercent')

  const kv = motor?.kvRpmPerVolt
  if (!kv) read('kv', bench.kv)
  put('kv', kv, (kv ?? 0) * 0.025, 'kit')
  const relative = !kv && !bench.kv && motor?.turns ? measuredLike(view, motor.kind, motor.turns) : null
  if (relative) put('kv', relative.kv, relative.kv * 0.06, 'assumed')
  const ohm = motor?.resistanceMilliohm
  put('motorMilliohm', ohm, (ohm ?? 0) * 0.06, 'kit')
  if (relative) put('motorMilliohm', relative.milliohm, relative.milliohm * 0.15, 'assumed')
  const idle = motor?.noLoadCurrentA
  put('noLoadA', idle, (idle ?? 0) * 0.1, 'kit')
  read('noLoadA', bench.noLoadA)
  put('noLoadA', 4, 1.5, 'assumed')
  const rotor = motor?.rotorInertiaGCm2
  put('rotorGCm2', rotor, (rotor ?? 0) * 0.1, 'kit')
  usual('rotorGCm2')
  if (put('motorTimingDeg', card('motorTiming'), 0.5, 'card')) {
    read('kvTimingDeg', bench.kvTimingDeg)
    usual('kvTimingDeg')
  }
  read('advanceGain', bench.advanceGain)
  usual('advanceGain')

  const controlOhm = control?.resistanceMilliohm
  put('controllerMilliohm', controlOhm, (controlOhm ?? 0) * 0.2, 'kit')
  usual('controllerMilliohm')
  const limits = [quantities.get('currentLimit'), control?.currentLimitA].filter((x) => x !== undefined)
  if (limits.length)
    put('currentLimitA', Math.min(...limits), 0, quantities.has('currentLimit') ? 'card' : 'kit')
  const dial = (id: InputId, q: Quantity) => put(id, quantities.get(q), 0, 'card', teamLabels.get(q))
  dial('boostDeg', 'boostTiming')
  dial('boostStartRpm', 'boostStartRpm')
  dial('boostEndRpm', 'boostEndRpm')
  dial('turboDeg', 'turboTiming')
  dial('turboDelayS', 'turboDelay')
  dial('turboRampDegPerS', 'turboRamp')
  dial('cutoffV', 'cutoffPerCell')

  const cells = pack?.cells ?? run?.raceClass?.cells ?? 2
  put('cells', cells, 0, pack?.cells ? 'run' : run?.raceClass?.cells ? 'rules' : 'assumed')
  put('capacityMah', pack?.capacityMah, (pack?.capacityMah ?? 0) * 0.05, 'run')
  usual('capacityMah')
  read('packMilliohm', bench.packMilliohm, 'run')
  // Without its temperature a reading may be a cold pack's.
  put('packMilliohm', pack?.resistanceMilliohm, (pack?.resistanceMilliohm ?? 0) * 0.15, 'run')
  usual('packMilliohm')
  usual('leadsMilliohm')
  const inPlace = pack && run?.run?.packIn?.v === pack.id ? pack.restVoltageV?.v : null
  const soc = (volts: number | null | undefined) =>
    volts ? 100 * stateOfChargeAtRest(POUCH_REST_VOLTAGE, Math.min(4.2, Math.max(3, volts / cells))) : null
  put('stateOfChargePercent', trial['startVoltage'] === undefined ? soc(inPlace) : null, 1, 'run')
  put('stateOfChargePercent', soc(card('startVoltage')), 1, 'card')
  usual('stateOfChargePercent')
  usual('accessoryA')
  usual('exitTriggerPercent')
  usual('brakeReturnPercent')
  usual('warmUpLaps')
  usual('toGridLaps')
  usual('afterFlagLaps')
  usual('easyLapPercent')
  usual('windingToCanKPerW')
  usual('canToAirKPerW')
  usual('canJPerK')

  const lacks: Lack[] = []
  if (!inputs.has('pinion')) lacks.push({ what: 'a pinion on the card', place: 'card' })
  if (!inputs.has('spur')) lacks.push({ what: 'a spur on the card', place: 'card' })
  if (!motor) lacks.push({ what: 'the car’s motor', place: 'car' })
  else {
    if (!inputs.has('kv')) lacks.push({ what: 'the motor’s Kv', place: 'motor' })
    if (!inputs.has('motorMilliohm')) lacks.push({ what: 'the motor’s resistance', place: 'motor' })
  }
  const cls = run?.raceClass
  return {
    carId,
    driven,
    inputs: [...inputs.values()],
    lacks,
    trackId: track?.id ?? null,
    segments: track?.segments?.length ? track.segments : null,
    raceSeconds: run ? raceSecondsOf(view, run.heat) : 300,
    limits: {
      name: cls?.name ?? null,
      minimumWeightG: cls?.minimumWeightG ?? null,
      voltageLimitV:
        cls?.voltageLimitV === undefined ? null : cls.voltageLimitV + (cls.voltageToleranceV ?? 0),
      dynamicTimingAllowed: cls?.dynamicTimingAllowed ?? null,
      cells: cls?.cells ?? null,
    },
    trigger: triggerOf(quantities, card),
    surface: ground,
  }
}

const inCommonUnit = (p: CardParameter, value: number): number => value * (p.scale ?? 1)

const clamp = (x: number, min: number, max: number) => Math.min(max, Math.max(min, x))

function triggerOf(q: ReadonlyMap<Quantity, number>, card: (id: string) => number | null): TriggerSettings {
  const share = (id: Quantity) => {
    const v = q.get(id)
    return v === undefined ? undefined : clamp(v / 100, 0, 1)
  }
  const expo = q.get('throttleExpo') ?? card('throttleExpo')
  const end = card('throttleEndPoint')
  const range = share('softeningRange')
  const punch = q.get('punchRate')
  return {
    ...(end !== null && { throttleEndPoint: clamp(end / 100, 0.2, 1.5) }),
    ...(expo !== null && { expo: clamp(expo / 100, -1, 1) }),
    ...(q.has('neutralDeadband') && { neutralDeadband: Math.min(0.5, share('neutralDeadband') ?? 0) }),
    ...(range && { softeningRange: range, softening: share('softeningStrength') ?? 0 }),
    ...(punch !== undefined && punch > 10 && { punchLimitPerS: punch / 100 }),
    ...(q.has('dragBrake') && { dragBrake: share('dragBrake') ?? 0 }),
    ...(q.has('brakeForce') && { brakeForce: share('brakeForce') ?? 1 }),
  }
}

/** Kv and resistance from a measured motor of the same kind by the winding laws, the nearest in turns. */
function measuredLike(
  view: BoardView,
  kind: string | undefined,
  turns: number,
): { kv: number; milliohm: number } | null {
  const known = view.motors.live
    .filter((m) => m.turns && m.kvRpmPerVolt && m.resistanceMilliohm && (!kind || m.kind === kind))
    .sort((a, b) => Math.abs((a.turns ?? 0) - turns) - Math.abs((b.turns ?? 0) - turns))[0]
  if (!known?.turns || !known.kvRpmPerVolt || !known.resistanceMilliohm) return null
  const ratio = turns / known.turns
  return { kv: known.kvRpmPerVolt / ratio, milliohm: known.resistanceMilliohm * ratio ** 2 }
}
