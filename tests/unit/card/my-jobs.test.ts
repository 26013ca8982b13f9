import { expect, test } from 'vitest'
import { addJob, addRecord, assignPack, assignValue, changeRecord } from '@/lib/board'
import { looseEnds, myJobs, runsOf } from '@/lib/card'
import { must } from '../../support/must'
import { raceDay } from '../../support/race-day-board'

const MINUTE = 60_000
const ILSE = { personId: 'ilse', role: 'mechanic' } as const

test('a mechanic’s loose ends, charges and jobs are one list, the soonest deadline first', () => {
  const d = raceDay()
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 22 }))
  must(assignPack(d.m, d.view(), { runId: d.runs.rook1, packId: 'P01' }))
  must(addJob(d.m, { text: 'Sweep the pit', personId: 'ilse', dueAt: d.now + 5 * MINUTE }))
  const charger = must(addRecord(d.m, 'kit', 'chargers', { label: 'A', channels: 2 }))
  must(
    changeRecord(d.m, 'meeting', 'charges', 'c1', {
      packId: 'P01',
      runId: d.runs.rook1,
      chargerId: charger,
      channel: 1,
      currentA: 5,
      plannedStart: d.now + 2 * MINUTE,
      plannedEnd: d.now + 20 * MINUTE,
    }),
  )
  const jobs = myJobs(d.view(), runsOf(d.view(), d.now), ILSE, d.now)
  const deadlines = jobs.map((j) => j.deadline ?? Infinity)
  expect(deadlines).toEqual([...deadlines].sort((a, b) => a - b))
  expect(jobs.find((j) => j.what === 'Sweep the pit')?.act.kind).toBe('sign-job')
  const charge = jobs.find((j) => j.act.kind === 'on-charge')
  expect([charge?.car, charge?.act]).toEqual(['Rook', { kind: 'on-charge', chargeId: 'c1' }])
  // The car has a column of its own, so its name does not stand in what is to be done as well.
  const fit = jobs.find((j) => j.act.kind === 'loose-end' && j.act.end.act.kind === 'fit')
  expect([fit?.car, fit?.what]).toEqual(['Rook', 'Pinion 22 t assigned, nothing fitted'])
})

test('a deadline before a call says which call; the call itself does not say it twice', () => {
  const d = raceDay()
  const runs = runsOf(d.view(), d.now)
  const jobs = myJobs(d.view(), runs, ILSE, d.now)
  const early = jobs.find((j) => j.act.kind === 'loose-end' && j.act.end.id === `no-pack:${d.runs.rook1}`)
  const callAt = runs.find((r) => r.runId === d.runs.rook1)?.callAt
  expect(early?.call).toBe(callAt)
  expect(early?.deadline).toBeLessThan(callAt ?? 0)
  for (const job of jobs) expect(job.call).not.toBe(job.deadline ?? 0)
})

test('what is nobody’s is everybody’s of that role, and nobody gets the jobs of another', () => {
  const d = raceDay()
  const runs = runsOf(d.view(), d.now)
  const all = looseEnds(d.view(), d.now, runs)
  const driver = myJobs(d.view(), runs, { personId: 'dana', role: 'driver' }, d.now)
  const mechanic = myJobs(d.view(), runs, ILSE, d.now)
  const endsOf = (jobs: typeof driver) => jobs.flatMap((j) => (j.act.kind === 'loose-end' ? [j.act.end] : []))
  expect(endsOf(mechanic).length).toBeGreaterThan(0)
  for (const end of endsOf(mechanic)) expect(end.who.personIds).toEqual(['ilse'])
  for (const end of endsOf(driver))
    expect(end.who.role === 'driver' || end.who.personIds.includes('dana')).toBe(true)
  expect(endsOf(mechanic).length).toBeLessThan(all.length)
  // The driver's own runs stand in the list, each with the way to its staging.
  expect(driver.filter((j) => j.act.kind === 'staging').map((j) => j.car)).toEqual(['Rook', 'Rook'])
})
