import type { BoardView } from './board-view'
import type { Run } from './collections'

/** The tire set of a run: what its record froze, else what is on the car, else what is assigned. Null when nobody said. */
export const setOfRun = (run: Pick<Run, 'record' | 'tiresOn' | 'tireSetId'> | undefined): string | null =>
  run?.record?.v?.tireSetId ?? run?.tiresOn?.v ?? run?.tireSetId?.v ?? null

/** The set that a run's tires speak for: that of the run, unless another run used it since. Null where they speak for none. */
export function setToldBy(view: BoardView, runId: string): string | null {
  const setId = setOfRun(view.runs.get(runId))
  if (!setId || !view.tireSets.get(setId)) return null
  const from = view.runs.get(runId)?.record?.v?.frozenAt ?? 0
  const isUsedSince = view.entries.live.some((e) => {
    const record = view.runs.get(e.id)?.record?.v
    return e.id !== runId && record?.tireSetId === setId && record.frozenAt > from
  })
  return isUsedSince ? null : setId
}
