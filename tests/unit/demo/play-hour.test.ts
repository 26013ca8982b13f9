import { expect, test } from 'vitest'
import * as Y from 'yjs'
import { CONTESTED, HOUR_STEPS } from '@/demo/play/hour'
import { boardText, type Phone } from '@/demo/play/phone'
import { lostWrites, playSteps } from '@/demo/play/play-steps'
import { DEMO_PEOPLE } from '@/demo/roster'
import { buildDemo } from '@/demo/seed'
import { BoardReading, readField, writeField } from '@/lib/board'

const NOW = Date.UTC(2026, 8, 12, 11, 4, 31)

type Docs = { kit: Y.Doc; meeting: Y.Doc }
const exchange = (a: Docs, b: Docs) => {
  for (const kind of ['kit', 'meeting'] as const) {
    Y.applyUpdate(b[kind], Y.encodeStateAsUpdate(a[kind], Y.encodeStateVector(b[kind])))
    Y.applyUpdate(a[kind], Y.encodeStateAsUpdate(b[kind], Y.encodeStateVector(a[kind])))
  }
}

/** A phone that exchanges with a common board in memory. */
function memoryPhone(person: (typeof DEMO_PEOPLE)[number], hub: Docs): Phone {
  const docs = { kit: new Y.Doc(), meeting: new Y.Doc() }
  exchange(docs, hub)
  const reading = new BoardReading(docs)
  let online = true
  return {
    personId: person.id,
    name: person.name,
    role: person.role,
    docs,
    get online() {
      return online
    },
    view: () => reading.view(),
    saved: async () => {
      if (online) exchange(docs, hub)
    },
    goAway: () => void (online = false),
    comeBack: async () => void (online = true),
    refusals: () => [],
    close: () => reading.close(),
  }
}

function playground() {
  const demo = buildDemo(NOW)
  const hub = { kit: demo.kit, meeting: demo.today }
  const phones = new Map(DEMO_PEOPLE.map((p) => [p.id as string, memoryPhone(p, hub)]))
  const lines: string[] = []
  const play = (steps = HOUR_STEPS) =>
    playSteps({
      steps,
      phones,
      beginsAt: NOW,
      waitFor: async () => undefined,
      print: (line) => void lines.push(line),
      patienceMs: 200,
    })
  return { hub, phones, lines, play }
}

test('the hour can be played: nothing refused, every expectation seen, all phones agree, nothing lost', async () => {
  const { phones, play, lines } = playground()
  const report = await play()
  expect(report.failures).toEqual([])
  expect(report.steps).toBe(HOUR_STEPS.length)
  expect(report.writes).toBeGreaterThan(100)
  expect(report.expectations).toBeGreaterThan(60)
  expect(new Set([...phones.values()].map(boardText)).size).toBe(1)
  for (const phone of phones.values()) expect(lostWrites(report, phone)).toEqual([])
  expect(lines.filter((l) => l.includes('[only on this phone]')).length).toBe(4)
  const settled = phones.get('petra-amsel')?.view().cardValues.get(CONTESTED.recordId)
  expect(settled?.fitted?.v).toBe(90)
})

test('a phone that never comes back is noticed', async () => {
  const { play, phones } = playground()
  const report = await play(HOUR_STEPS.filter((s) => s.network !== 'back'))
  expect(report.failures).toContainEqual(expect.stringContaining('q2-curlew is ready'))
  expect(boardText(phones.get('bas-verhoef')!)).not.toBe(boardText(phones.get('petra-amsel')!))
})

test('a board that forgets a write is noticed', async () => {
  const { play, phones } = playground()
  const report = await play(HOUR_STEPS.slice(0, 6))
  const phone = phones.get('ilse-brandt')!
  expect(readField(phone.docs.meeting, 'cardValues', 'rook.pinion', 'fitted')).toMatchObject({ v: 22 })
  writeField(phone.docs.meeting, 'cardValues', 'rook.pinion', 'fitted', { v: 21, by: 'x', at: NOW })
  expect(lostWrites(report, phone)).toEqual(['cardValues/rook.pinion/fitted'])
})
