import { clockText } from '../../core/clock-text'
import { isAbsent, type RaceRun } from '../../setup-math'
import { figure, fixed, type Projection } from './projection-figure'
import type { InputValues } from './projections-inputs'
import type { Figures, Spread } from './projections-spread'

/** Before this many runs with charge put back nothing may be said that sounds safe. */
export const RECORDS_NEEDED = 3
/** Below this a lithium cell under load is being damaged, V. Common practice, no source; the pack maker's limit comes first. */
const CELL_FLOOR = 3
/** The pack over the race: charge used and left, rested and lowest voltage. */
export function packProjections(
  values: InputValues,
  race: RaceRun,
  f: Figures,
  spread: Record<string, Spread>,
  /** Runs of this car with charge put back. */
  chargeRecords: number,
): Projection[] {
  return [
    figure({
      id: 'chargeUsed',
      group: 'pack',
      label: 'Charge used',
      value: f['chargeUsedMah'] ?? null,
      digits: 0,
      unit: 'mAh',
      spread: spread['chargeUsedMah'],
      detail: `For the race alone. The charger puts back more; see the lines below.`,
    }),
    ...outsideTheRace(values, race, f, spread['chargeUsedMah']),
    figure({
      id: 'chargeLeft',
      group: 'pack',
      label: 'Charge left',
      value: f['chargeLeftPercent'] ?? null,
      digits: 0,
      unit: '%',
      spread: spread['chargeLeftPercent'],
      alarm: (f['chargeLeftPercent'] ?? 100) - (spread['chargeLeftPercent']?.plusMinus ?? 0) < 10,
      caution: 'pack',
      detail: isAbsent(race.stopped)
        ? ''
        : `The pack runs empty on lap ${race.stopped.onLap}: ${race.stopped.reason}.`,
    }),
    figure({
      id: 'endVoltage',
      group: 'pack',
      label: 'At rest after the run',
      value: f['endV'] ?? null,
      digits: 2,
      unit: 'V/cell',
      spread: spread['endV'],
      caution: 'pack',
    }),
    lowestProjection(values, race, f, spread['lowV'], chargeRecords),
  ]
}

/** Driving that a race's charge does not hold but the charger's does. */
const OUTSIDE = [
  { id: 'warmUp', laps: 'warmUpLaps', label: 'Charge for the warm-up' },
  { id: 'toGrid', laps: 'toGridLaps', label: 'Charge for the drive to the grid' },
  { id: 'afterFlag', laps: 'afterFlagLaps', label: 'Charge after the finish' },
] as const

/** Unlike things kept apart: what was driven outside the race, each in its own line, and all of it as the charger sees it. */
function outsideTheRace(
  values: InputValues,
  race: RaceRun,
  f: Figures,
  used: Spread | undefined,
): Projection[] {
  const raced = f['chargeUsedMah'] ?? 0
  const perLap = raced / Math.max(1, race.laps)
  const share = (values.easyLapPercent ?? 0) / 100
  const line = (p: { id: string; label: string; mah: number; detail: string }) =>
    figure({ ...p, group: 'pack', value: p.mah, digits: 0, unit: 'mAh' })
  const lines = OUTSIDE.map(({ id, laps, label }) => {
    const count = values[laps] ?? 0
    return line({
      id,
      label,
      mah: count * share * perLap,
      detail: `${fixed(count, 1)} easy laps at ${fixed(100 * share, 0)}% of a race lap’s charge.`,
    })
  })
  const outside = lines.reduce((sum, l) => sum + (l.value ?? 0), 0)
  const total = figure({
    id: 'putBack',
    group: 'pack',
    label: 'Put back by the charger',
    value: raced + outside,
    digits: 0,
    unit: 'mAh',
    spread: used && {
      ...used,
      plusMinus: ((raced + outside) / Math.max(1, raced)) * used.plusMinus,
    },
    detail:
      'The race, the warm-up and the easy laps before and after, in total. Compare this with what the charger says.',
  })
  return [...lines, total]
}

function lowestProjection(
  values: InputValues,
  race: RaceRun,
  f: Figures,
  spread: Spread | undefined,
  chargeRecords: number,
): Projection {
  const low = f['lowV'] ?? 0
  const half = spread?.plusMinus ?? 0
  const cutoff = values.cutoffV
  const lines: string[] = []
  if (!cutoff) lines.push('No cutoff on this card. Nothing protects the pack.')
  else if (!isAbsent(race.withCutoff)) {
    const { stopped } = race.withCutoff
    lines.push(
      isAbsent(stopped)
        ? chargeRecords >= RECORDS_NEEDED
          ? `Nine runs out of ten stay above ${fixed(low - half, 2)} V per cell, by ${chargeRecords} runs of this car with charge put back; ${low - half < cutoff ? `the cutoff at ${fixed(cutoff, 2)} V may act` : `the cutoff is set to ${fixed(cutoff, 2)} V`}. It is only a projection and does not protect the pack. Leave the cutoff on.`
          : `Treat it as a best case: it may go down to ${fixed(low - half, 2)} V per cell${low - half < cutoff ? `, where the cutoff at ${fixed(cutoff, 2)} V acts` : ''}. Leave the cutoff on. To narrow it, enter what the charger puts back after three runs of this car (${chargeRecords} so far).`
        : `The cutoff at ${fixed(cutoff, 2)} V acts on lap ${stopped.onLap}, after ${clockText(stopped.atS)}. With it off the pack would go down to ${fixed(low, 2)} V per cell.`,
    )
  }
  lines.push(
    'A lithium pack that is run flat is ruined and can burn when it is charged again. Never run it until the car stops. The pack maker’s limits and the event’s rules come first.',
  )
  const acts = !!cutoff && low - half < cutoff
  return figure({
    id: 'lowestVoltage',
    group: 'pack',
    label: 'Lowest under load',
    value: low,
    digits: 2,
    unit: 'V/cell',
    spread,
    alarm: acts || low - half < CELL_FLOOR || !cutoff,
    caution: 'pack',
    detail: lines.join(' '),
  })
}
