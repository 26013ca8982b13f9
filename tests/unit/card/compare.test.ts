import { expect, test } from 'vitest'
import {
  addRecord,
  assignPack,
  assignTires,
  assignValue,
  changeRecord,
  fitValue,
  putPackIn,
  stampStart,
} from '@/lib/board'
import { currentSnapshot, diffCards, freezeRecord, recordSnapshot, runsOf } from '@/lib/card'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

function twoCars() {
  const b = testBoard()
  const m = b.as('manager')
  const car = (name: string) => must(addRecord(m, 'kit', 'cars', { name }))
  const [rook, heron] = [car('Rook'), car('Heron')]
  for (const id of ['P01', 'P02']) must(changeRecord(m, 'kit', 'packs', id, { label: id }))
  must(changeRecord(m, 'kit', 'tireSets', 'T01', { label: 'T01' }))
  const heatId = must(addRecord(m, 'meeting', 'heats', { number: 1, plannedStart: Date.UTC(2026, 4, 2, 10) }))
  const runId = must(addRecord(m, 'meeting', 'entries', { heatId, carId: rook, driverName: 'Dana' }))
  const run = () => runsOf(b.view(), Date.UTC(2026, 4, 2, 9, 30)).find((r) => r.runId === runId)!
  return { ...b, m, rook, heron, heatId, runId, run }
}
type Day = ReturnType<typeof twoCars>
const differences = (d: Day, side: 'fitted' | 'assigned') =>
  diffCards(d.view(), currentSnapshot(d.view(), d.heron), currentSnapshot(d.view(), d.rook), side).map(
    (x) => [x.parameterId, x.was, x.now],
  )

test('what was only asked for never counts as in a car', () => {
  const d = twoCars()
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 22 }))
  must(assignValue(d.m, d.view(), { carId: d.heron, parameterId: 'pinion', value: 23 }))
  expect(differences(d, 'assigned')).toEqual([['pinion', 23, 22]])
  expect(differences(d, 'fitted')).toEqual([])
  must(fitValue(d.m, d.view(), { carId: d.heron, parameterId: 'pinion', value: 21 }))
  expect(differences(d, 'fitted')).toEqual([['pinion', 21, null]])
})

test('a record’s pack and tires count as in the car only when somebody said so', () => {
  const d = twoCars()
  must(assignPack(d.m, d.view(), { runId: d.runId, packId: 'P01' }))
  must(assignTires(d.m, d.view(), { runId: d.runId, tireSetId: 'T01' }))
  must(putPackIn(d.m, d.view(), { runId: d.runId, packId: 'P02' }))
  const record = freezeRecord(d.view(), d.run(), Date.UTC(2026, 4, 2, 10))
  must(
    stampStart(d.m, d.view(), {
      heatId: d.heatId,
      at: Date.UTC(2026, 4, 2, 10),
      records: [{ runId: d.runId, record }],
    }),
  )
  const then = recordSnapshot(d.run(), d.run().run!.record!.v!)
  const now = currentSnapshot(d.view(), d.rook)
  const changes = (side: 'fitted' | 'assigned') =>
    diffCards(d.view(), then, now, side).map((x) => [x.parameterId, x.was, x.now])
  expect(changes('fitted')).toEqual([['pack', 'P02', null]])
})
