import { lossPriors } from '@/lib/setup-math'
import { INPUT_BOUNDS } from '@/lib/card'
import { USUAL, USUAL_GRIP, type ProjectionBasis } from '@/lib/card/projections/projections-basis'
import type { InputId, InputSource, ProjectionInput } from '@/lib/card/projections/projections-inputs'
import type { RunRecordOf } from '@/lib/card/projections/run-records'
import { draws } from './draws'
import type { RefereeSeason } from './draw-car'
import type { RefereeRace } from './run-race'
import { teethMore, type RefereeTrial, type SeasonRuns } from './season-runs'

/** A season as it is kept: without the laid path. */
export type KeptSeason = Omit<SeasonRuns, 'season'> & { season: Omit<RefereeSeason, 'path'> }

/**
 * The card of a referee's car as its team would have it: what a team measures, off by its own uncertainty; everything else as the card assumes it. Draws of its
 * own, so that the same season gives the same card.
 */
export function asEntered(
  kept: KeptSeason,
  pinion: number,
  startSoc: number,
  trial: RefereeTrial | null = null,
): ProjectionBasis {
  const { season } = kept
  const d = draws(kept.seed ^ 0x5bd1e995)
  // Another motor is read off anew.
  const again = draws(kept.seed ^ 0x1b873593)
  const { chassis: c, electrics: e } = season.car
  const inputs: ProjectionInput[] = []
  const put = (id: InputId, value: number, sd: number, source: InputSource) =>
    inputs.push({ id, value, sd, source })
  const measured = (id: InputId, truth: number, sd: number) => {
    const [min, max] = INPUT_BOUNDS[id] ?? [-Infinity, Infinity]
    put(id, Math.min(max, Math.max(min, truth + sd * d.gauss())), sd, 'kit')
  }
  const assumed = (id: InputId, [value, sd]: readonly [number, number], times = 1) =>
    put(id, value * times, sd * times, 'assumed')
  const idleAt = (kv: number) => {
    const kt = 60 / (2 * Math.PI * kv)
    return (e.coulombNm + (e.eddyNmS * 7.4) / kt) / kt
  }
  const idleA = idleAt(e.kvRpmPerVolt)

  put('pinion', pinion, 0, 'card')
  put('spur', season.spur, 0, 'card')
  put('internalRatio', season.internalRatio, 0, 'kit')
  measured('tireDiameterMm', 2000 * c.tireRadiusM, 0.3)
  measured('massG', 1000 * c.massKg, 5)
  measured('frontSharePercent', 100 * c.frontShare, 1)
  measured('wheelbaseMm', 1000 * c.wheelbaseM, 1)
  measured('cgHeightMm', 1000 * c.cgHeightM, 5)
  assumed('rolling', lossPriors.rolling[season.surface])
  assumed('dragAreaM2', USUAL.dragAreaM2)
  assumed('efficiency', USUAL.efficiency)
  assumed('wheelInertiaGM2', USUAL.wheelInertiaGM2)
  assumed('grip', USUAL_GRIP[season.surface] ?? [1, 0.15])
  measured('airC', e.airC, 1)
  measured('trackScalePercent', 100, 2)
  measured('kv', e.kvRpmPerVolt, 0.025 * e.kvRpmPerVolt)
  measured('motorMilliohm', 1000 * e.windingOhm, 60 * e.windingOhm)
  measured('noLoadA', idleA, 0.1 * idleA)
  if (trial && trial.kvRpmPerVolt !== e.kvRpmPerVolt)
    for (const [id, truth, share] of [
      ['kv', trial.kvRpmPerVolt, 0.025],
      ['motorMilliohm', 1000 * trial.windingOhm, 0.06],
      ['noLoadA', idleAt(trial.kvRpmPerVolt), 0.1],
    ] as const)
      inputs[inputs.findIndex((i) => i.id === id)] = {
        id,
        value: truth * (1 + share * again.gauss()),
        sd: share * truth,
        source: 'kit',
      }
  assumed('rotorGCm2', USUAL.rotorGCm2)
  assumed('controllerMilliohm', USUAL.controllerMilliohm)
  put('cutoffV', 3.2, 0, 'card')
  put('cells', e.cells, 0, 'run')
  measured('capacityMah', 1000 * e.capacityAh, 50 * e.capacityAh)
  // A charger reads the pack without its leads: those are what the card takes them to be, on average.
  measured('packMilliohm', 1000 * e.packOhm - USUAL.leadsMilliohm[0], 120 * e.packOhm)
  assumed('leadsMilliohm', USUAL.leadsMilliohm)
  measured('stateOfChargePercent', 100 * startSoc, 1)
  for (const id of [
    'accessoryA',
    'exitTriggerPercent',
    'brakeReturnPercent',
    'warmUpLaps',
    'toGridLaps',
    'afterFlagLaps',
    'easyLapPercent',
    'windingToCanKPerW',
    'canToAirKPerW',
    'canJPerK',
    'advanceGain',
  ] as const)
    assumed(id, USUAL[id])
  assumed('rollingPerSpeed', lossPriors.rollingPerSpeed)
  assumed('bumpsN', lossPriors.bumpsN[season.surface])
  assumed('peakSlipPercent', lossPriors.peakSlip[season.surface], 100)
  assumed('peakAngleDeg', lossPriors.peakAngleDeg)
  assumed('drivelineMNm', lossPriors.drivelineNm[c.driven], 1000)
  assumed('liftAreaCm2', lossPriors.liftAreaM2, 10_000)
  assumed('rippleFactor', lossPriors.formFactor2)
  assumed('noLoadSpeedPercent', lossPriors.noLoadSpeedShare, 100)
  assumed('noLoadRise', lossPriors.noLoadRisePerDegree, 100)
  assumed('freewheelV', lossPriors.freewheelV)
  assumed('slowShortMilliohm', lossPriors.slowShortMilliohm)
  assumed('slowLongMilliohm', lossPriors.slowLongMilliohm)
  return {
    carId: `car ${kept.seed}`,
    driven: c.driven,
    inputs,
    lacks: [],
    trackId: 'track',
    segments: season.pieces.map((p) =>
      p.curvature === 0
        ? { kind: 'straight' as const, lengthM: p.lengthM, grip: p.grip }
        : {
            kind: 'corner' as const,
            radiusM: 1 / Math.abs(p.curvature),
            arcDegrees: (p.lengthM * Math.abs(p.curvature) * 180) / Math.PI,
            grip: p.grip,
          },
    ),
    raceSeconds: season.raceSeconds,
    limits: {
      name: season.kind,
      minimumWeightG: null,
      voltageLimitV: null,
      dynamicTimingAllowed: null,
      cells: null,
    },
    trigger: {},
    surface: season.surface,
    records: [],
  }
}

/** What the team reads after the first `count` races: charger to 1.5%, can to 3 K, volts to 5 mV per cell, lap by the clock, top speed to 2%. */
export function recordsOf(kept: KeptSeason, count: number): RunRecordOf[] {
  const d = draws(kept.seed ^ 0x2545f491)
  return kept.runs.slice(0, count).map((run: RefereeRace, i) => ({
    runId: `run ${i}`,
    inputs: {
      pinion: kept.season.pinion,
      stateOfChargePercent: Math.min(100, 100 * (kept.startSoc[i] ?? 1) + d.gauss()),
    },
    measured: {
      chargeUsedMah: run.chargeMah * (1 + 0.015 * d.gauss()),
      canC: run.canC + 3 * d.gauss(),
      lowV: run.lowV + 0.005 * d.gauss(),
      endV: run.endV + 0.005 * d.gauss(),
      topMps: run.topMps * (1 + 0.02 * d.gauss()),
      meanLapS: run.meanLapS,
    },
  }))
}

/**
 * The same runs by what the screens take down: what the charger puts back, the can, the lap. Around the race the car drove easy laps, as many as this driver's habit
 * has it, a little other each time; the card knows the usual habit alone.
 */
export function recordsAsTyped(kept: KeptSeason, count: number): RunRecordOf[] {
  const d = draws(kept.seed ^ 0x3c6ef372)
  const about = ([mean, sd]: readonly [number, number]) => Math.max(0, mean + sd * d.gauss())
  const outside = about(USUAL.warmUpLaps) + about(USUAL.toGridLaps) + about(USUAL.afterFlagLaps)
  const easy = about(USUAL.easyLapPercent) / 100
  return recordsOf(kept, count).map(({ measured, ...record }, i) => {
    const { chargeUsedMah = 0, canC = 0, meanLapS = 0 } = measured
    const laps = Math.max(0, outside + 0.5 * d.gauss())
    const share = 1 + (laps * easy) / Math.max(1, kept.runs[i]?.laps ?? 1)
    return { ...record, measured: { putBackMah: chargeUsedMah * share, canC, meanLapS } }
  })
}

export const nextPinion = (kept: KeptSeason): number => kept.season.pinion + teethMore
