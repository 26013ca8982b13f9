import { describe, expect, test } from 'vitest'
import { assignPack, assignTires, changeRecord, putTiresOn, setPackState } from '@/lib/board'
import { packsFor, runsOf, tiresFor } from '@/lib/card'
import { must } from '../../support/must'
import { raceDay } from '../../support/race-day-board'

function packs(d: ReturnType<typeof raceDay>, runId: string): string[] {
  const runs = runsOf(d.view(), d.now)
  const run = runs.find((r) => r.runId === runId)!
  return packsFor(d.view(), runs, run).map((o) => o.item.id)
}

describe('packs for a run', () => {
  test('the one it has, then charged and free ones, then what must be charged, then promised ones, then what the class does not run', () => {
    const d = raceDay()
    const pack = (id: string, state: 'charged' | 'used' | 'storage' | 'retired', more: object = {}) => {
      must(changeRecord(d.m, 'kit', 'packs', id, { label: id, cells: 2, ...more }))
      must(setPackState(d.m, { packId: id, state }))
    }
    pack('P01', 'used')
    pack('P03', 'used')
    pack('P04', 'storage')
    pack('P05', 'charged')
    pack('P06', 'charged')
    pack('P07', 'charged', { health: 'suspect' })
    pack('P08', 'retired')
    must(setPackState(d.m, { packId: 'P02', state: 'charged' }))
    must(assignPack(d.m, d.view(), { runId: d.runs.rook1, packId: 'P01' }))
    must(assignPack(d.m, d.view(), { runId: d.runs.heron, packId: 'P05' }))
    expect(packs(d, d.runs.rook1)).toEqual(['P01', 'P06', 'P04', 'P03', 'P05', 'P07', 'P02'])
  })

  test('whose run is over holds nothing back', () => {
    const d = raceDay()
    must(setPackState(d.m, { packId: 'P01', state: 'charged' }))
    must(changeRecord(d.m, 'kit', 'packs', 'P03', { label: 'P03', cells: 2 }))
    must(assignPack(d.m, d.view(), { runId: d.runs.rook1, packId: 'P01' }))
    const promised = () => {
      const runs = runsOf(d.view(), d.now)
      const run = runs.find((r) => r.runId === d.runs.rook2)!
      return packsFor(d.view(), runs, run).find((o) => o.item.id === 'P01')?.promisedTo.length
    }
    expect([packs(d, d.runs.rook2)[0], promised()]).toEqual(['P03', 1])
    const heatId = d.run(d.runs.rook1).heat.id
    must(changeRecord(d.m, 'meeting', 'heats', heatId, { startedAt: stamp(d, d.now - 600_000) }))
    must(changeRecord(d.m, 'meeting', 'heats', heatId, { finishedAt: stamp(d, d.now - 300_000) }))
    expect([packs(d, d.runs.rook2)[0], promised()]).toEqual(['P01', 0])
  })
})

const stamp = (d: ReturnType<typeof raceDay>, v: number) => ({ v, by: d.m.actor.personId, at: d.now })

describe('tires for a run', () => {
  test('what is on the car and meant for its drive comes first; worn sets and other cars’ come last', () => {
    const d = raceDay()
    must(changeRecord(d.m, 'kit', 'cars', d.rook, { drive: '4wd' }))
    const set = (id: string, more: object) =>
      must(changeRecord(d.m, 'kit', 'tireSets', id, { label: id, ...more }))
    set('T01', { drive: '4wd', runs: 6, runsGood: 6 })
    set('T02', { drive: '2wd' })
    set('T03', { drive: '4wd' })
    set('T04', { drive: '4wd' })
    set('T05', { drive: '4wd' })
    must(assignTires(d.m, d.view(), { runId: d.runs.rook1, tireSetId: 'T04' }))
    must(putTiresOn(d.m, d.view(), { runId: d.runs.rook1, tireSetId: 'T04' }))
    must(assignTires(d.m, d.view(), { runId: d.runs.heron, tireSetId: 'T05' }))
    const runs = runsOf(d.view(), d.now)
    const run = runs.find((r) => r.runId === d.runs.rook2)!
    expect(tiresFor(d.view(), runs, run).map((o) => o.item.id)).toEqual(['T04', 'T03', 'T05', 'T01', 'T02'])
  })
})
