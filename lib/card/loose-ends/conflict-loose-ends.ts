import { heatName, type BoardView } from '../../board'
import type { LooseEnd } from './loose-end'
import { MINUTE } from './loose-end-people'
import { CHARGE_LEAD_MS } from './run-loose-ends'
import { heatOfRun, type RunInfo } from '../day/runs'

/** Between two runs a pack must cool and be charged again. Common practice, no source. */
const PACK_TURNAROUND_MS = CHARGE_LEAD_MS + 15 * MINUTE

/** Promises that can't all be kept, and edits that reached something removed. */
export function conflictLooseEnds(view: BoardView, runs: readonly RunInfo[], now: number): LooseEnd[] {
  const coming = runs.filter((r) => r.state === 'upcoming' || r.state === 'called' || r.state === 'on-track')
  return [
    ...packConflicts(view, coming),
    ...tireConflicts(view, coming),
    ...orphans(view, now),
    ...damaged(view),
  ]
}

function pairs(
  runs: readonly RunInfo[],
  key: (r: RunInfo) => string | null | undefined,
): [RunInfo, RunInfo, string][] {
  const last = new Map<string, RunInfo>()
  const out: [RunInfo, RunInfo, string][] = []
  for (const run of runs) {
    const k = key(run)
    if (!k) continue
    const earlier = last.get(k)
    if (earlier) out.push([earlier, run, k])
    last.set(k, run)
  }
  return out
}

const names = (a: RunInfo, b: RunInfo) => `${a.carName} (${heatOfRun(a)}) and ${b.carName} (${heatOfRun(b)})`
const promisedBy = (view: BoardView, a: { by: string } | undefined, b: { by: string } | undefined) =>
  [a, b].map((s) => (s ? (view.people.get(s.by)?.name ?? 'somebody') : '?')).join(' and ')

function packConflicts(view: BoardView, runs: readonly RunInfo[]): LooseEnd[] {
  return pairs(runs, (r) => r.run?.packId?.v)
    .filter(
      ([a, b]) => a.startAt === null || b.startAt === null || b.startAt - a.startAt < PACK_TURNAROUND_MS,
    )
    .map(([a, b, packId]) => ({
      id: `pack-twice:${packId}:${a.runId}:${b.runId}`,
      title: `${view.packs.get(packId)?.label ?? 'A pack'} assigned to ${names(a, b)}`,
      why: `by ${promisedBy(view, a.run?.packId, b.run?.packId)}; no time to charge it in between`,
      who: { personIds: [], role: 'manager' },
      bitesAt: b.callAt === null ? null : Math.min(a.callAt ?? Infinity, b.callAt - CHARGE_LEAD_MS),
      carId: b.carId,
      runId: b.runId,
      act: { kind: 'choose-pack', runIds: [a.runId, b.runId] },
    }))
}

/** How long a tire set needs from one car to another. Common practice, no source. */
const TIRE_SWAP_MS = 20 * MINUTE

function tireConflicts(view: BoardView, runs: readonly RunInfo[]): LooseEnd[] {
  return pairs(runs, (r) => r.run?.tireSetId?.v)
    .filter(([a, b]) => a.carId !== b.carId)
    .filter(
      ([a, b]) =>
        (a.startAt === null || b.startAt === null
          ? true
          : b.startAt - a.startAt < TIRE_SWAP_MS + (a.heat.raceSeconds ?? 300) * 1000) ||
        a.run?.tiresOn?.v === b.run?.tiresOn?.v,
    )
    .map(([a, b, setId]) => ({
      id: `tires-twice:${setId}:${a.runId}:${b.runId}`,
      title: `${view.tireSets.get(setId)?.label ?? 'A tire set'} assigned to ${names(a, b)}`,
      why: `by ${promisedBy(view, a.run?.tireSetId, b.run?.tireSetId)}; a set can be on one car`,
      who: { personIds: [], role: 'manager' },
      bitesAt: a.callAt,
      carId: b.carId,
      runId: b.runId,
      act: { kind: 'choose-tires', runIds: [a.runId, b.runId] },
    }))
}

/** Runs that were prepared and are gone from the running order: their pack and tires are free, and somebody should know. */
function orphans(view: BoardView, now: number): LooseEnd[] {
  const out: LooseEnd[] = []
  for (const run of view.runs.all.values()) {
    const entry = view.entries.get(run.id)
    const heat = view.heats.get(entry?.heatId)
    const gone = !entry || entry.removed || !heat || heat.removed
    const promised = run.packId?.v ?? run.tireSetId?.v
    if (!gone || !promised || run.record?.v) continue
    const planned = heat?.plannedStart
    if (planned !== undefined && planned < now - 6 * 60 * MINUTE) continue
    out.push({
      id: `orphan:${run.id}`,
      title: `${entry?.driverName ?? 'A run'}, ${heat ? heatName(heat, view.classes.get(heat.classId)?.name) : 'heat ?'} is no longer in the running order but has a pack or tires assigned`,
      why: 'the running order was imported again, or the heat was deleted',
      who: { personIds: [], role: 'manager' },
      bitesAt: null,
      carId: entry?.carId ?? null,
      runId: run.id,
      act: { kind: 'choose-pack', runIds: [run.id] },
    })
  }
  return out
}

const damaged = (view: BoardView): LooseEnd[] =>
  view.damaged.map((d) => ({
    id: `damaged:${d.collection}:${d.recordId}:${d.field}`,
    title: `A ${d.field} in ${d.collection} can’t be read`,
    why: 'its value is not valid; enter it again',
    who: { personIds: [], role: 'manager' },
    bitesAt: null,
    carId: null,
    runId: null,
    act: { kind: 'open-kit', collection: d.collection, recordId: d.recordId },
  }))
