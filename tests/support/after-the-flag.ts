import { changeRecord, stampStart, type RunRecord } from '@/lib/board'
import { freezeRecord } from '@/lib/card'
import { must } from './must'
import { prepareRook, raceDay } from './race-day-board'

/** Rook has run its first heat on pack P01 and tires T01. */
export function afterTheFlag() {
  const d = raceDay()
  prepareRook(d)
  const record: RunRecord = freezeRecord(d.view(), d.run(d.runs.rook1), d.now)
  must(stampStart(d.m, d.view(), { heatId: d.h1, at: d.now, records: [{ runId: d.runs.rook1, record }] }))
  must(changeRecord(d.m, 'kit', 'handlingWords', 'pushes', { name: 'Pushes' }))
  must(changeRecord(d.m, 'kit', 'chargers', 'C1', { label: 'Bench', channels: 2 }))
  return { ...d, ilse: d.as('mechanic', 'ilse'), dana: d.as('driver', 'dana'), runId: d.runs.rook1 }
}
