import { settingText } from '../../core/setting-text'
import type { BoardView } from '../../board'
import { cardRows, waitsForReading, type CardRow } from '../setup-card/card-rows'
import { openFollowUps } from './follow-ups'
import type { LooseEnd } from './loose-end'
import { MINUTE, mechanicsOf } from './loose-end-people'
import type { RunInfo } from '../day/runs'

/** Hands need this long for a value, a read-back or a follow-up, so it bites that much before the call. Common practice, no source. */
const HANDS_MS = 5 * MINUTE

/** Loose ends on the car itself: values and follow-ups. */
export function carLooseEnds(view: BoardView, run: RunInfo): LooseEnd[] {
  const bitesAt = run.callAt === null ? null : run.callAt - HANDS_MS
  const base = {
    who: { personIds: mechanicsOf(view, run), role: 'mechanic' as const },
    bitesAt,
    carId: run.carId,
    runId: run.runId,
  }
  const values = cardRows(view, run.carId).flatMap((row) => {
    const end = rowEnd(view, run, row)
    return end ? [{ ...base, ...end }] : []
  })
  const cycle = powerCycleEnd(view, run)
  // What is closed by reading back is asked for value by value.
  const signable = openFollowUps(view, run.carId).filter((f) => !f.byReading)
  const followUps = signable.map((f): LooseEnd => ({
    ...base,
    id: `follow-up:${run.carId}:${f.ruleId}`,
    title: `${run.carName}: ${f.name}`,
    why: f.opened
      ? `${f.opened.v}, ${view.people.get(f.opened.by)?.name ?? 'somebody'}`
      : 'called for by a change',
    act: f.items.length
      ? { kind: 'open-card', carId: run.carId }
      : { kind: 'sign-follow-up', carId: run.carId, ruleId: f.ruleId, covers: f.covers },
  }))
  const proposals = view.proposals.live
    .filter((p) => p.carId === run.carId && p.value && !p.outcome?.v)
    .map((p): LooseEnd => ({
      ...base,
      who: { personIds: run.driverId ? [run.driverId] : [], role: 'manager' },
      id: `proposal:${p.id}`,
      title: `${run.carName}: a proposal needs an answer`,
      why: p.value?.why ?? `by ${view.people.get(p.value?.by)?.name ?? 'somebody'}`,
      act: { kind: 'open-proposal', carId: run.carId, proposalId: p.id },
    }))
  return [...(cycle ? [{ ...base, ...cycle }] : []), ...values, ...followUps, ...proposals]
}

type CarEnd = Pick<LooseEnd, 'id' | 'title' | 'why' | 'act'>

/** Asked once for everything that was dialed in since the car was last off. */
function powerCycleEnd(view: BoardView, run: RunInfo): CarEnd | null {
  const waiting = cardRows(view, run.carId).filter((r) => waitsForReading(r) && !r.cycled)
  if (waiting.length === 0) return null
  const labels = waiting.map((r) => `${r.parameter.label} ${settingText(r.fitted, r.parameter.unit)}`)
  return {
    id: `power-cycle:${run.carId}`,
    title: `${run.carName}: switch it off and on again`,
    why: `dialed in: ${labels.slice(0, 3).join(', ')}${labels.length > 3 ? ` and ${labels.length - 3} more` : ''}; wheels free of hands`,
    act: { kind: 'power-cycle', carId: run.carId },
  }
}

function rowEnd(view: BoardView, run: RunInfo, row: CardRow): CarEnd | null {
  const { parameter: p, assigned, fitted } = row
  const card = { kind: 'open-card', carId: run.carId, parameterId: p.id } as const
  const id = `value:${run.carId}:${p.id}`
  if (waitsForReading(row) && row.cycled && fitted !== null)
    return {
      id: `read-back:${run.carId}:${p.id}`,
      title: `${run.carName}: ${p.label} not read back`,
      why: `${settingText(fitted, p.unit)} was dialed in, and the car was switched off since: check what it reads`,
      act: { kind: 'read-back', carId: run.carId, parameterId: p.id, value: fitted },
    }
  if (assigned === null) return null
  if (row.cannot)
    return {
      id: `cannot:${run.carId}:${p.id}`,
      title: `${run.carName}: ${p.label} ${settingText(assigned, p.unit)} can’t be fitted`,
      why: row.cannot,
      act: card,
    }
  if (row.state !== 'differs' && row.state !== 'not-fitted') return null
  const by = view.people.get(row.value?.assigned?.by)?.name
  return {
    id,
    title: `${run.carName}: ${p.label} ${settingText(assigned, p.unit)} assigned, ${fitted === null ? 'nothing' : settingText(fitted, p.unit)} fitted`,
    why: row.value?.assigned?.why ?? (by ? `asked by ${by}` : ''),
    act: { kind: 'fit', carId: run.carId, parameterId: p.id, value: assigned },
  }
}
