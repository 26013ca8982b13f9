import { parametersOf, type BoardView, type Run, type Setting } from '../../board'
import { MOTOR_THEN } from '../staging/freeze-record'
import type { Trial } from '../projections/projections-basis'
import type { RunGround } from '../day/runs'

/** Stands for a value that nobody had said then: no number, and so no input. */
const NOT_SAID = ''

/** What a run had of a value: what was fitted, else what was asked for; null where its record says neither, or there is none. */
export function ranWith(run: Pick<Run, 'record'> | undefined, parameterId: string): Setting | null {
  const then = run?.record?.v?.values[parameterId]
  return then?.fitted ?? then?.assigned ?? null
}

/**
 * What a car ran with, as a trial: its record's values in place of what the card says today, its pack and tires. Null when no record was frozen.
 */
export function frozenTrial(view: BoardView, carId: string, { run }: RunGround): Trial | null {
  const record = run?.record?.v
  if (!record) return null
  const trial: Record<string, Trial[string]> = {}
  for (const { id } of parametersOf(view, carId)) trial[id] = ranWith(run, id) ?? NOT_SAID
  const motor = ranWith(run, MOTOR_THEN)
  if (motor) trial['motor'] = motor
  if (record.packId) trial['pack'] = record.packId
  if (record.tireSetId) trial['tires'] = record.tireSetId
  // The set's own diameter counts where the card had none: an empty text would hide it.
  if (trial['tireDiameter'] === NOT_SAID) delete trial['tireDiameter']
  // A pack's voltage is of today; that of the start is only known while nothing was measured since.
  const volts = view.packs.get(record.packId)?.restVoltageV
  if (volts && volts.at <= record.frozenAt && trial['startVoltage'] === NOT_SAID) delete trial['startVoltage']
  return trial
}

/**
 * The same to learn from: what the record does not say is as the card has it today, since the car is the same one. The pack's voltage is not, it has been driven
 * since. Without a record all of it is today's.
 */
export function ranTrial(view: BoardView, carId: string, ground: RunGround): Trial {
  const frozen = frozenTrial(view, carId, ground) ?? { startVoltage: NOT_SAID }
  return Object.fromEntries(
    Object.entries(frozen).filter(([id, v]) => v !== NOT_SAID || id === 'startVoltage'),
  )
}
