import { parameterOf, type BoardView, type RunRecord, type Setting, heatName } from '../../board'
import { cardRows } from './card-rows'
import { MOTOR_THEN } from '../staging/freeze-record'
import type { RunInfo } from '../day/runs'
import { lastRecordBefore } from '../day/runs'

/** A card's values at some moment: today's, or those of a frozen run. */
export interface CardSnapshot {
  /** What to call it: a run, or "now". */
  name: string
  carId: string
  values: Record<string, { assigned: Setting | null; fitted: Setting | null }>
  /** Its id; null where nobody said, or a record from before it was frozen. */
  motor: string | null
  pack: Thing
  tires: Thing
}

/** Pack or tires: which one was promised, and which one somebody said to be in its place. */
interface Thing {
  assigned: string | null
  fitted: string | null
}

export interface CardDifference {
  parameterId: string
  label: string
  unit: string
  /** The earlier, or left, card's value on the side that was asked for; null when nobody said any. */
  was: Setting | null
  now: Setting | null
}

export function currentSnapshot(view: BoardView, carId: string, run?: RunInfo): CardSnapshot {
  const rows = cardRows(view, carId).filter((r) => r.state !== 'empty')
  return {
    name: 'now',
    carId,
    values: Object.fromEntries(rows.map((r) => [r.parameter.id, { assigned: r.assigned, fitted: r.fitted }])),
    motor: view.cars.get(carId)?.motorId ?? null,
    pack: { assigned: run?.run?.packId?.v ?? null, fitted: run?.run?.packIn?.v ?? null },
    tires: { assigned: run?.run?.tireSetId?.v ?? null, fitted: run?.run?.tiresOn?.v ?? null },
  }
}

/** A record names the pack that was in the car, else the promised one: only the run itself tells which of the two it was. */
export function recordSnapshot({ run, ...info }: RunInfo, record: RunRecord): CardSnapshot {
  const thing = (id: string | null, inPlace: string | null | undefined): Thing => ({
    assigned: id,
    fitted: id !== null && inPlace === id ? id : null,
  })
  const { [MOTOR_THEN]: motor, ...values } = record.values
  return {
    name: runName(info),
    carId: info.carId,
    values,
    motor: typeof motor?.fitted === 'string' ? motor.fitted : null,
    pack: thing(record.packId, run?.packIn?.v),
    tires: thing(record.tireSetId, run?.tiresOn?.v),
  }
}

export const runName = (run: Pick<RunInfo, 'round' | 'heat' | 'raceClass'>): string =>
  [run.round?.name, heatName(run.heat, run.raceClass?.name)].filter(Boolean).join(', ')

/**
 * Where two cards differ. `read` says which side of a value counts: `fitted` compares what somebody said to be in the cars, and never what was only
 * asked for; `assigned` what was asked.
 * For another car, controller parameters are matched by label, since each make has its own list.
 */
export function diffCards(
  view: BoardView,
  a: CardSnapshot,
  b: CardSnapshot,
  read: 'fitted' | 'assigned' = 'fitted',
): CardDifference[] {
  const keyed = (s: CardSnapshot) =>
    new Map(
      Object.entries(s.values).map(([id, v]) => {
        // The car may have had another speed control then: its values still have their labels.
        const p = parameterOf(view, s.carId, id) ?? view.controllerParameters.get(id.replace(/^esc\./, ''))
        const key = id.startsWith('esc.') ? `esc:${p?.label ?? id}` : id
        return [
          key,
          {
            id,
            label: p?.label ?? id,
            unit: p?.unit ?? '',
            value: v[read],
          },
        ]
      }),
    )
  const left = keyed(a)
  const right = keyed(b)
  const out: CardDifference[] = []
  for (const key of new Set([...left.keys(), ...right.keys()])) {
    const l = left.get(key)
    const r = right.get(key)
    const was = l?.value ?? null
    const now = r?.value ?? null
    const shown = r ?? l
    if (was !== now && shown)
      out.push({ parameterId: shown.id, label: shown.label, unit: shown.unit, was, now })
  }
  // Of two cars the motors are not compared, and records from before they were frozen don't say.
  if (a.carId === b.carId && a.motor && b.motor && a.motor !== b.motor) {
    const motor = (id: string) => view.motors.get(id)?.name ?? id
    out.push({ parameterId: MOTOR_THEN, label: 'Motor', unit: '', was: motor(a.motor), now: motor(b.motor) })
  }
  const label = (id: string | null, rows: BoardView['packs'] | BoardView['tireSets']) =>
    id ? (rows.get(id)?.label ?? id) : null
  for (const [thing, name, rows] of [
    ['pack', 'Pack', view.packs],
    ['tires', 'Tires', view.tireSets],
  ] as const) {
    const [was, now] = [a[thing][read], b[thing][read]]
    if (was !== now)
      out.push({ parameterId: thing, label: name, unit: '', was: label(was, rows), now: label(now, rows) })
  }
  return out
}

export interface ChangeSinceLastRun extends CardDifference {
  /** The change is in the car (and read back, where that is asked). */
  done: boolean
  by: string | null
  at: number | null
  why: string | null
}

/** What the card asks for that the car did not have in its last run: what the driver checks before staging. */
export function changesSinceLastRun(
  view: BoardView,
  runs: readonly RunInfo[],
  run: RunInfo,
): { since: RunInfo | null; changes: ChangeSinceLastRun[] } {
  const last = lastRecordBefore(runs, run)
  const record = last?.run?.record?.v
  if (!last || !record) return { since: null, changes: [] }
  const then = recordSnapshot(last, record)
  const rows = new Map(cardRows(view, run.carId).map((r) => [r.parameter.id, r]))
  const now = currentSnapshot(view, run.carId, run)
  // The driver was promised what is assigned; where nothing is assigned, what is fitted stands.
  const promised: CardSnapshot = {
    ...now,
    pack: { ...now.pack, fitted: now.pack.assigned },
    tires: { ...now.tires, fitted: now.tires.assigned },
    values: Object.fromEntries(
      Object.entries(now.values).map(([id, v]) => [
        id,
        { assigned: v.assigned, fitted: v.assigned ?? v.fitted },
      ]),
    ),
  }
  const changes = diffCards(view, then, promised).map((d): ChangeSinceLastRun => {
    const row = rows.get(d.parameterId)
    const stamp = row?.value?.assigned ?? row?.value?.fitted
    const base = { ...d, by: stamp?.by ?? null, at: stamp?.at ?? null, why: stamp?.why ?? null }
    if (row) return { ...base, done: row.state === 'equal' || row.state === 'unassigned' }
    // The motor is the car's own: nobody promises it, and a swap is done once it is noted.
    if (d.parameterId === MOTOR_THEN) return { ...base, done: true }
    const promise = d.parameterId === 'pack' ? run.run?.packId : run.run?.tireSetId
    const inPlace = d.parameterId === 'pack' ? run.run?.packIn?.v : run.run?.tiresOn?.v
    return {
      ...base,
      by: promise?.by ?? null,
      at: promise?.at ?? null,
      done: !!inPlace && inPlace === promise?.v,
    }
  })
  return { since: last, changes }
}
