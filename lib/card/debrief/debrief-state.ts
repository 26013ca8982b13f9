import { HOT_PARTS, temperatureFields, type BoardView } from '../../board'

export const DEBRIEF_PARTS = [
  { id: 'temperatures', name: 'Temperatures' },
  { id: 'result', name: 'Result' },
  { id: 'words', name: 'Driver’s words' },
  { id: 'charge', name: 'Charge' },
  { id: 'tires', name: 'Tires' },
  { id: 'laps', name: 'Laps' },
] as const
export type DebriefPartId = (typeof DEBRIEF_PARTS)[number]['id']

export interface DebriefPart {
  id: DebriefPartId
  name: string
  state: 'missing' | 'partly' | 'done'
}

/** A figure that the projections of a car learn from, and that is not there yet. */
export interface DebriefLack {
  id: 'result' | 'motorC' | 'chargeBackMah'
  what: string
  /** What it would say more of. */
  helps: string
}

const written = (stamp: { v: unknown } | undefined): boolean => stamp !== undefined && stamp.v !== null

const partly = (some: boolean[], whole: boolean): DebriefPart['state'] =>
  whole ? 'done' : some.some(Boolean) ? 'partly' : 'missing'

/** What of a debrief is there, in the order in which it is lost when nobody asks: a can cools by the minute, the charger's display waits. */
export function debriefParts(view: BoardView, runId: string): DebriefPart[] {
  const run = view.runs.get(runId)
  const temperatures = HOT_PARTS.map((p) => written(run?.[temperatureFields(p).value]))
  const words = [run?.feel, run?.whatNext].map(written)
  const said = written(run?.driverWords) || remarksOf(view, runId).length > 0
  const of: Record<DebriefPartId, DebriefPart['state']> = {
    temperatures: partly(temperatures, temperatures.every(Boolean)),
    result: written(run?.result) ? 'done' : 'missing',
    words: partly([...words, said], words.every(Boolean)),
    charge: partly([written(run?.restVoltageV)], written(run?.chargeBackMah)),
    tires: partly([written(run?.tireMm), written(run?.tireLook)], written(run?.tireLook)),
    laps: run?.laps?.v?.length ? 'done' : 'missing',
  }
  return DEBRIEF_PARTS.map(({ id, name }) => ({ id, name, state: of[id] }))
}

/** What is missing most first; parts in one state keep their order. */
export function byMissing(parts: readonly DebriefPart[]): DebriefPart[] {
  const rank = { missing: 0, partly: 1, done: 2 } as const
  return [...parts].sort((a, b) => rank[a.state] - rank[b.state])
}

/** What the projections of a car lack of this run. A car that did not start, or came to a stop, says nothing of a whole race. */
export function debriefLacks(view: BoardView, runId: string): DebriefLack[] {
  const run = view.runs.get(runId)
  if (run?.result?.v?.ended) return []
  const lacks: DebriefLack[] = []
  if (!written(run?.motorC))
    lacks.push({ id: 'motorC', what: 'motor temperature', helps: 'how hot the motor gets' })
  if (!written(run?.result)) lacks.push({ id: 'result', what: 'result', helps: 'lap times' })
  if (!written(run?.chargeBackMah))
    lacks.push({ id: 'chargeBackMah', what: 'charge put back', helps: 'how long the pack lasts' })
  return lacks
}

/** What the driver felt in a run, in the order said, each with what was said of it later. */
export const remarksOf = (view: BoardView, runId: string) =>
  view.remarks.live
    .filter((r) => r.id.startsWith(`${runId}.`))
    .flatMap(({ id, said, phase, strength }) => {
      if (!said?.v) return []
      const { v, by, at } = said
      const now = { ...v, ...(phase?.v && { phase: phase.v }), strength: strength?.v ?? v.strength }
      return [{ id, said: { v: now, by, at } }]
    })
    .sort((a, b) => a.said.at - b.said.at || (a.id < b.id ? -1 : 1))
