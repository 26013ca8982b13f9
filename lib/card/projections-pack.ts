import { isAbsent, type RaceRun } from '../setup-math'
import { figure, fixed, type Projection } from './projection-figure'
import type { InputValues } from './projections-inputs'
import { clockText } from './projections-result'
import type { Figures, Spread } from './projections-spread'

/** Below this a lithium cell under load is being damaged, V. Common practice, no source; the pack maker's limit comes first. */
const CELL_FLOOR = 3
/** The pack over the race: charge used and left, rested and lowest voltage. */
export function packProjections(
  values: InputValues,
  race: RaceRun,
  f: Figures,
  spread: Record<string, Spread>,
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
      detail: `In ${race.laps} laps. Compare with what the charger puts back.`,
    }),
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
      label: 'Rested after the run',
      value: f['endV'] ?? null,
      digits: 2,
      unit: 'V/cell',
      spread: spread['endV'],
      caution: 'pack',
    }),
    lowestProjection(values, race, f, spread['lowV']),
  ]
}

function lowestProjection(
  values: InputValues,
  race: RaceRun,
  f: Figures,
  spread: Spread | undefined,
): Projection {
  const low = f['lowV'] ?? 0
  const half = spread?.plusMinus ?? 0
  const cutoff = values.cutoffV
  const lines: string[] = []
  if (!cutoff) lines.push('No cutoff is set on this card: nothing protects the pack.')
  else if (!isAbsent(race.withCutoff)) {
    const { stopped, marginVoltsPerCell } = race.withCutoff
    lines.push(
      isAbsent(stopped)
        ? `The cutoff at ${fixed(cutoff, 2)} V does not act: ${fixed(marginVoltsPerCell, 2)} V per cell to spare.`
        : `The cutoff at ${fixed(cutoff, 2)} V acts on lap ${stopped.onLap}, after ${clockText(stopped.atS)}. With it off the pack would go down to ${fixed(low, 2)} V per cell.`,
    )
  }
  lines.push(
    'A lithium pack run flat is destroyed and can burn when it is charged again: never run it until the car stops. The pack maker’s limits and the event’s rules come first.',
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
