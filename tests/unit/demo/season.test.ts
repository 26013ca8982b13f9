import { beforeAll, expect, test } from 'vitest'
import * as Y from 'yjs'
import driven from '@/demo/season/races.json'
import { raceKey, SEASON_MEETINGS, SEASON_TRACKS } from '@/demo/season/plan'
import { seasonKitActs } from '@/demo/season/season-acts'
import { buildSeason, DEMO_SEASON_IDS } from '@/demo/seed'
import { cardAtStart } from '@/demo/seed/card-data'
import { kitActs, writeServerPart } from '@/demo/seed/kit-acts'
import { DAY, play } from '@/demo/seed/story'
import { BoardReading, checkField, exportDoc, parseKey, type BoardView } from '@/lib/board'
import { seasonRuns } from '@/lib/season'

const { races } = driven
const NOW = Date.UTC(2026, 8, 12, 11, 4, 31)
const meetings = new Map<string, { view: BoardView; fields: ReturnType<typeof exportDoc> }>()
let kit: BoardView
beforeAll(() => {
  const doc = new Y.Doc()
  writeServerPart(doc)
  play({ kit: doc, meeting: null }, [...kitActs(NOW - 170 * DAY), ...seasonKitActs(NOW)])
  kit = new BoardReading({ kit: doc, meeting: null }).view()
  for (const id of DEMO_SEASON_IDS) {
    const meeting = buildSeason(NOW, doc, id)
    const view = new BoardReading({ kit: doc, meeting }).view()
    meetings.set(id, { view, fields: exportDoc('meeting', meeting) })
  }
})

test('three meetings on three tracks that the kit has, all in the past and sound', () => {
  expect(new Set(SEASON_MEETINGS.map((m) => m.trackId)).size).toBe(3)
  for (const [id, { view, fields }] of meetings) {
    expect(view.damaged).toEqual([])
    expect(kit.meetings.get(id)).toMatchObject({ name: view.meeting.get('meeting')?.name })
    expect(kit.tracks.get(view.meeting.get('meeting')?.trackId)?.segments?.length).toBeGreaterThan(5)
    for (const [collection, values] of Object.entries(fields))
      for (const [key, value] of Object.entries(values)) {
        const { field } = parseKey(key)!
        expect(checkField('meeting', collection, field, value).ok, `${collection} ${key}`).toBe(true)
        if (typeof value === 'object' && value !== null && !Array.isArray(value) && 'at' in value)
          expect(value['at']).toBeLessThan(NOW)
      }
  }
})

test('every run has what the referee’s race brought, and what was in the car', () => {
  let seen = 0
  for (const [id, { view }] of meetings) {
    const runs = seasonRuns(kit, view, id)
    expect(runs).toHaveLength(24)
    for (const run of runs) {
      const race = races[raceKey(id, run.carId, Number(run.runId[1])) as keyof typeof races]
      expect(run).toMatchObject({
        laps: race.lapS.length,
        bestS: Math.min(...race.lapS),
        chargeBackMah: race.chargeMah,
        canC: race.canC,
        restVoltageV: race.restV,
      })
      expect(run.timeS).toBeGreaterThanOrEqual(300)
      const teeth = SEASON_MEETINGS.find((m) => m.id === id)?.teeth[run.carId]?.[Number(run.runId[1]) - 1]
      expect(run.values['pinion']).toBe(Number(cardAtStart(run.carId)['pinion']) + (teeth ?? NaN))
      seen++
    }
  }
  expect(seen).toBe(Object.keys(races).length)
})

test('the races scatter as races do: no two alike, none far off', () => {
  for (const { id } of SEASON_MEETINGS) {
    const of = Object.entries(races).filter(([key]) => key.startsWith(`${id}/`))
    expect(new Set(of.map(([, r]) => r.lapS.join())).size).toBe(of.length)
    for (const [key, { lapS, chargeMah, canC, restV }] of of) {
      const clean = lapS.slice(1)
      const mean = clean.reduce((a, b) => a + b, 0) / clean.length
      const spread = Math.sqrt(clean.reduce((s, l) => s + (l - mean) ** 2, 0) / (clean.length - 1)) / mean
      expect(spread, key).toBeGreaterThan(0.001)
      expect(spread, key).toBeLessThan(0.06)
      expect(chargeMah, key).toBeGreaterThan(500)
      expect(chargeMah, key).toBeLessThan(5600)
      expect(canC, key).toBeGreaterThan(30)
      expect(canC, key).toBeLessThan(135)
      expect(restV, key).toBeGreaterThan(6.8)
      expect(restV, key).toBeLessThan(8.3)
    }
  }
})

test('what was said is said where the track has such a place', () => {
  for (const { said, trackId } of SEASON_MEETINGS) {
    const places = SEASON_TRACKS.find((t) => t.id === trackId)?.segments.map((s) => s.name)
    for (const of of Object.values(said))
      for (const one of of) if (one?.remark?.place) expect(places).toContain(one.remark.place)
  }
})
