import {
  addRecord,
  assignValue,
  changeRecord,
  type BoardDocs,
  type Setting,
  type TrackSegment,
} from '@/lib/board'
import { nextRunOf, projectionBasis, runsOf, type Trial } from '@/lib/card'
import { testBoard } from './board'
import { must } from './must'

/** Invented: a long straight, a short one, and two ways back. */
export const TEST_TRACK: TrackSegment[] = [
  { kind: 'straight', name: 'Long', lengthM: 40, grip: 1 },
  { kind: 'corner', name: 'Hairpin', radiusM: 3, arcDegrees: 180, grip: 1 },
  { kind: 'straight', name: 'Middle', lengthM: 22, grip: 1 },
  { kind: 'corner', name: 'Kink', radiusM: 8, arcDegrees: 40, grip: 1 },
  { kind: 'straight', name: 'Short', lengthM: 12, grip: 1 },
  { kind: 'corner', name: 'Last', radiusM: 3.2, arcDegrees: 140, grip: 1 },
]

/**
 * A board with one car that can be projected: gearing of the worked example of the gear formulas (31/72 x 2.6 on 83 mm), a motor slow enough that
 * full throttle is held, and a run to come. All other figures are invented.
 */
export function projectionBoard(
  over: {
    segments?: TrackSegment[]
    card?: Record<string, Setting>
    /** Documents to write on, as whom, and when; absent: of its own. */
    on?: { docs: BoardDocs; managerId: string; now: number }
  } = {},
) {
  const now = over.on?.now ?? Date.UTC(2026, 4, 2, 11)
  const b = testBoard(over.on?.docs, over.on?.now)
  const m = b.as('manager', over.on?.managerId)
  const controllerId = must(
    addRecord(m, 'kit', 'controllers', { name: 'Withy', resistanceMilliohm: 0.6, currentLimitA: 200 }),
  )
  const dial = (
    label: string,
    max: number,
    step: number,
    quantity: 'turboTiming' | 'turboDelay' | 'turboRamp' | 'cutoffPerCell',
    scale: number,
  ) =>
    must(
      addRecord(m, 'kit', 'controllerParameters', {
        controllerId,
        label,
        min: 0,
        max,
        step,
        quantity,
        scale,
      }),
    )
  const dials = {
    turbo: dial('Turbo', 40, 1, 'turboTiming', 1),
    delay: dial('Wait', 1000, 10, 'turboDelay', 0.001),
    ramp: dial('Slope', 30, 1, 'turboRamp', 10),
    cutoff: dial('Floor', 5, 0.1, 'cutoffPerCell', 1),
  }
  const motorId = must(
    addRecord(m, 'kit', 'motors', {
      name: 'Sedge',
      kind: 'stock',
      turns: 17.5,
      kvRpmPerVolt: 2200,
      resistanceMilliohm: 30,
      noLoadCurrentA: 2,
      rotorInertiaGCm2: 9,
    }),
  )
  const carId = must(
    addRecord(m, 'kit', 'cars', {
      name: 'Rook',
      driverId: 'dana',
      drive: '4wd',
      motorId,
      controllerId,
      internalRatio: 2.6,
      wheelbaseMm: 282,
      cgHeightMm: 52,
      frontSharePercent: 46,
      driveEfficiency: 0.86,
      dragAreaM2: 0.02,
      rollingCoefficient: 0.035,
      wheelInertiaKgM2: 0.00006,
    }),
  )
  const trackId = must(
    addRecord(m, 'kit', 'tracks', {
      name: 'Bowl',
      surface: 'clay',
      grip: 1.05,
      segments: over.segments ?? TEST_TRACK,
    }),
  )
  must(changeRecord(m, 'meeting', 'meeting', 'meeting', { name: 'Open', trackId }))
  const classId = must(
    addRecord(m, 'meeting', 'classes', {
      name: '4WD',
      cells: 2,
      voltageLimitV: 8.4,
      voltageToleranceV: 0.02,
      minimumWeightG: 1600,
      raceSeconds: 300,
      dynamicTimingAllowed: true,
    }),
  )
  const heatId = must(addRecord(m, 'meeting', 'heats', { number: 1, classId, plannedStart: now + 3_600_000 }))
  const runId = must(addRecord(m, 'meeting', 'entries', { heatId, carId, driverName: 'Dana' }))
  const card: Record<string, Setting> = {
    pinion: 31,
    spur: 72,
    tireDiameter: 83,
    weight: 1634,
    startVoltage: 8.4,
    [`esc.${dials.turbo}`]: 10,
    [`esc.${dials.delay}`]: 100,
    [`esc.${dials.ramp}`]: 10,
    [`esc.${dials.cutoff}`]: 3.2,
    ...over.card,
  }
  for (const [parameterId, value] of Object.entries(card))
    must(assignValue(m, b.view(), { carId, parameterId, value }))
  const run = () => nextRunOf(runsOf(b.view(), now), carId)
  const basis = (trial?: Trial) => projectionBasis(b.view(), carId, run(), trial)
  return { ...b, m, carId, motorId, controllerId, trackId, classId, heatId, runId, dials, run, basis, now }
}
