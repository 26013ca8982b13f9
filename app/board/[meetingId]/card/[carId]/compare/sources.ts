import type { BoardView } from '@/lib/board'
import {
  currentSnapshot,
  leftSnapshot,
  recordSnapshot,
  runName,
  type CardSnapshot,
  type RunInfo,
} from '@/lib/card'
import type { Option } from '@/app/ui'

/** What is fitted in the car itself, beside what its card asks for. */
export const IN_CAR = 'now:fitted'

/** What a card can be held against: runs of the car itself first, then other cars and their runs. Of a past meeting, cards are as they were left. */
export function sourcesOf(
  view: BoardView,
  runs: readonly RunInfo[],
  carId: string,
  isPast: boolean,
): Option[] {
  const records = runs.filter((r) => r.run?.record?.v)
  const then = isPast ? 'as it was left' : 'now'
  const hasCard = (id: string) => !isPast || Object.keys(leftSnapshot(view, id).values).length > 0
  return [
    ...records
      .filter((r) => r.carId === carId)
      .reverse()
      .map((r) => ({ id: `run:${r.runId}`, label: runName(r) })),
    ...(isPast ? [] : [{ id: IN_CAR, label: 'What is fitted in this car now' }]),
    ...view.cars.live
      .filter((c) => (isPast || c.id !== carId) && hasCard(c.id))
      .map((c) => ({ id: `car:${c.id}`, label: `${c.name ?? 'Car'}, ${then}` }))
      // The car's own card stands before those of others.
      .sort((a, b) => Number(b.id === `car:${carId}`) - Number(a.id === `car:${carId}`)),
    ...records
      .filter((r) => r.carId !== carId)
      .map((r) => ({ id: `run:${r.runId}`, label: `${r.carName}, ${runName(r)}` })),
  ]
}

/** The card that a choice stands for, by the name that is given as the reason on this card; null for one that is not there. */
export function sourceSnapshot(
  view: BoardView,
  runs: readonly RunInfo[],
  choice: string | null,
  past: string | null,
): CardSnapshot | null {
  if (!choice) return null
  const named = (s: CardSnapshot, name: string) => ({
    ...s,
    name: past === null ? name : `${name} at ${past}`,
  })
  const id = choice.slice(4)
  if (choice.startsWith('car:')) {
    const snapshot = past === null ? currentSnapshot(view, id) : leftSnapshot(view, id)
    return named(snapshot, view.cars.get(id)?.name ?? 'Other car')
  }
  const run = runs.find((r) => r.runId === id)
  const record = run?.run?.record?.v
  return run && record ? named(recordSnapshot(run, record), runName(run)) : null
}
