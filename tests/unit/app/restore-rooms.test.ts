import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import * as Y from 'yjs'
import {
  addNote,
  addRecord,
  changeRecord,
  createMeeting,
  exportDoc,
  fillMeeting,
  runEdit,
  type EditContext,
} from '@/lib/board'
import { newId } from '@/lib/core/id'
import { ok } from '@/lib/core/result'
import { must } from '@/tests/support/must'
import { RestorableBoard } from '@/tests/support/restorable-board'
import type { TestPhone } from '@/tests/support/test-phone'
import { IdbStore } from '@/app/sync/idb-store'
import type { SyncClient } from '@/app/sync/sync-client'
import { applyAgain, lostMeetings, makeMeetingAgain } from '@/app/ui/shell/apply-again'
import type { MemoryStore } from '@/server/storage/memory-store'

let board: RestorableBoard
let phones: TestPhone[]
let ma: TestPhone
let mo: TestPhone

const context = (page: SyncClient): EditContext => {
  const { membership } = page.snapshot()
  const open = page.meetingBoard ?? page.kitBoard
  if (membership.state !== 'member' || !open) throw new Error('No board is open')
  return open.context(membership.session)
}
const until = (holds: () => void) => vi.waitFor(holds, { timeout: 20_000, interval: 10 })
const saved = (page: SyncClient) =>
  until(() => expect(page.snapshot()).toMatchObject({ online: true, pending: 0, fetching: false }))
const told = (page: SyncClient) =>
  page
    .snapshot()
    .drafts.map((d) => d.words)
    .sort()
const stored = (room: string) => {
  const doc = new Y.Doc()
  for (const update of board.store.load(room).updates) Y.applyUpdate(doc, update)
  return exportDoc(room === 'kit' ? 'kit' : 'meeting', doc)
}
const texts = (room: string) =>
  Object.entries(stored(room)['notes'] ?? {})
    .flatMap(([key, value]) => (key.endsWith(':text') ? [(value as { v: string }).v] : []))
    .sort()
const restore = async (backup: MemoryStore) => {
  await board.shut()
  board.restore(backup)
  await board.open()
}
async function meeting(phone: TestPhone, name: string): Promise<string> {
  const { page } = phone
  const id = must(
    createMeeting(context(page), { name, startsAt: Date.UTC(2026, 4, 1), trackId: null, copiedFrom: null }),
  )
  await page.openMeeting(id)
  must(
    fillMeeting(context(page), page.meetingBoard!.view(), {
      name,
      startsAt: Date.UTC(2026, 4, 1),
      trackId: null,
    }),
  )
  await saved(page)
  return id
}
const note = (page: SyncClient, text: string) => must(addNote(context(page), { about: 'meeting', text }))

beforeEach(async () => {
  globalThis.indexedDB = new IDBFactory()
  board = new RestorableBoard()
  await board.open()
  ma = board.phone('ma', 'manager')
  mo = board.phone('mo', 'mechanic')
  phones = [ma, mo]
  for (const phone of phones) await saved(await phone.visit())
})
afterEach(async () => {
  for (const phone of phones) await phone.close()
  await board.shut()
})

describe('[S23] meetings under a restore', () => {
  it('a meeting that no page opens is walked: what its author saw saved is told, and the room goes on', async () => {
    const [spring, autumn] = [await meeting(ma, 'Spring'), await meeting(ma, 'Autumn')]
    const backup = board.backup()
    await mo.page.openMeeting(spring)
    await saved(mo.page)
    note(mo.page, 'grip is low')
    await saved(mo.page)
    await mo.page.openMeeting(autumn)
    await saved(mo.page)
    note(mo.page, 'rain')
    await saved(mo.page)
    mo.page.closeMeeting()
    await mo.close()
    await restore(backup)
    const page = await mo.visit()
    await until(() =>
      expect(told(page)).toEqual([
        'Note grip is low, About: Spring',
        'Note grip is low, Note: grip is low',
        'Note rain, About: Autumn',
        'Note rain, Note: rain',
      ]),
    )
    // It is known at once when the page is opened again, without being told twice.
    await page.openMeeting(spring)
    await saved(page)
    note(page, 'later')
    await saved(page)
    expect(texts(`meeting-${spring}`)).toEqual(['later'])
    expect(told(page)).toHaveLength(4)
    const { applied, refused } = await applyAgain(page, page.snapshot().drafts)
    expect(refused).toBeNull()
    for (const d of applied) page.dismissDraft(d.id)
    await saved(page)
    await until(() => expect(texts(`meeting-${autumn}`)).toEqual(['rain']))
    expect(texts(`meeting-${spring}`)).toEqual(['grip is low', 'later'])
    expect(page.snapshot().drafts).toEqual([])
  })

  for (const how of ['with its page open', 'with its page opened anew', 'with the kit alone open'])
    it(`a meeting made after the backup is told to its authors and can be made again, ${how}`, async () => {
      const backup = board.backup()
      const lost = await meeting(ma, 'Lost cup')
      await mo.page.openMeeting(lost)
      await saved(mo.page)
      note(mo.page, 'mo saved')
      await saved(mo.page)
      note(ma.page, 'ma saved')
      await saved(ma.page)
      await board.shut()
      note(mo.page, 'mo unsent')
      if (how !== 'with its page open') {
        await mo.close()
        await ma.close()
      }
      board.restore(backup)
      await board.open()
      if (how !== 'with its page open')
        for (const phone of phones) {
          const page = await phone.visit()
          if (how === 'with its page opened anew') await page.openMeeting(lost)
        }
      await until(() =>
        expect(told(mo.page)).toEqual([
          'Note mo saved, About: Lost cup',
          'Note mo saved, Note: mo saved',
          'Note mo unsent, About: Lost cup',
          'Note mo unsent, Note: mo unsent',
        ]),
      )
      await until(() => expect(told(ma.page)).toContain('Note ma saved, Note: ma saved'))
      await until(() => expect(told(ma.page)).toContain('Meeting Lost cup, Meeting name: Lost cup'))
      expect(board.store.rooms()).not.toContain(`meeting-${lost}`)
      expect(mo.page.snapshot().pending).toBe(0)
      // The mechanic can't make it; the manager can, with what she holds, and then the mechanic applies his own.
      const kitOf = (page: SyncClient) => {
        const { membership } = page.snapshot()
        if (membership.state !== 'member') throw new Error('no member')
        return page.kitBoard!.context(membership.session)
      }
      const [[room, known] = ['', {}]] = lostMeetings(kitOf(mo.page), mo.page.snapshot().drafts)
      expect([room, known]).toEqual([`meeting-${lost}`, { name: 'Lost cup', startsAt: Date.UTC(2026, 4, 1) }])
      expect(makeMeetingAgain(kitOf(mo.page), room, known).ok).toBe(false)
      must(makeMeetingAgain(kitOf(ma.page), room, known))
      for (const phone of [ma, mo]) {
        const { page } = phone
        await until(() => expect(lostMeetings(kitOf(page), page.snapshot().drafts).size).toBe(0))
        const { refused } = await applyAgain(page, page.snapshot().drafts)
        expect(refused).toBeNull()
        for (const d of page.snapshot().drafts) page.dismissDraft(d.id)
      }
      for (const phone of [ma, mo]) await until(() => expect(phone.page.snapshot().pending).toBe(0))
      await until(() => expect(texts(`meeting-${lost}`)).toEqual(['ma saved', 'mo saved', 'mo unsent']))
      expect(stored(`meeting-${lost}`)['meeting']).toMatchObject({ 'meeting:name': 'Lost cup' })
      await mo.page.openMeeting(lost)
      await saved(mo.page)
      note(mo.page, 'next')
      await saved(mo.page)
      expect(texts(`meeting-${lost}`)).toContain('next')
    })

  it('a meeting that was never sent is made anew, with its kit record', async () => {
    const backup = board.backup()
    await board.shut()
    const id = must(
      createMeeting(context(ma.page), {
        name: 'Offline cup',
        startsAt: Date.now(),
        trackId: null,
        copiedFrom: null,
      }),
    )
    await ma.page.openMeeting(id)
    note(ma.page, 'made offline')
    board.restore(backup)
    await board.open()
    await saved(ma.page)
    expect(texts(`meeting-${id}`)).toEqual(['made offline'])
    expect(told(ma.page)).toEqual([])
  })

  it('an unsent edit is told where the restored board lacks the car or the run that it is about', async () => {
    const spring = await meeting(ma, 'Spring')
    const known = must(addRecord(context(ma.page), 'kit', 'cars', { name: 'Old car' })) as string
    const heat: string = newId()
    await saved(ma.page)
    const backup = board.backup()
    const car = must(addRecord(context(ma.page), 'kit', 'cars', { name: 'New car' })) as string
    const run: string = newId()
    must(
      runEdit(context(ma.page), 'entry', (w) => {
        w.meeting('heats', heat, { number: 1 })
        w.meeting('entries', run, { heatId: heat, carId: car, driverName: 'Dora' })
        return ok(undefined)
      }),
    )
    await mo.page.openMeeting(spring)
    for (const phone of phones) await saved(phone.page)
    await until(() => expect(mo.page.meetingBoard!.view().entries.get(run)).toBeDefined())
    await until(() => expect(mo.page.meetingBoard!.view().cars.get(car)).toBeDefined())
    await board.shut()
    must(
      runEdit(context(mo.page), 'values', (w) => {
        w.meeting('cardValues', `${car}.pinion`, { fitted: w.stamp(23) })
        w.meeting('cardValues', `${known}.pinion`, { fitted: w.stamp(21) })
        w.meeting('runs', run, { motorC: w.stamp(61) })
        w.meeting('notes', newId(), { about: `car:${car}`, text: w.stamp('wash') })
        return ok(undefined)
      }),
    )
    board.restore(backup)
    await board.open()
    await until(() =>
      expect(told(mo.page)).toEqual([
        'Card value New car, Pinion, Fitted: 23 t',
        expect.stringMatching(/^Note wash, About: /),
        'Run Dora, Motor temperature: 61°C',
      ]),
    )
    await saved(mo.page)
    const { cardValues, runs, notes } = stored(`meeting-${spring}`)
    expect(Object.keys(cardValues ?? {})).toEqual([`${known}.pinion:fitted`])
    expect(runs).toBeUndefined()
    expect(Object.keys(notes ?? {})).toEqual([expect.stringContaining(':text')])
  })
})

describe('[S23] who joined after the backup', () => {
  it('joins anew, and keeps as drafts what was saved and what was not', async () => {
    const spring = await meeting(ma, 'Spring')
    const backup = board.backup()
    const ne = board.phone('ne', 'mechanic')
    phones.push(ne)
    await ne.visit()
    await ne.page.openMeeting(spring)
    await saved(ne.page)
    const pack = must(addRecord(context(ne.page), 'kit', 'packs', { label: 'P9' })) as string
    note(ne.page, 'ne saved')
    await saved(ne.page)
    await board.shut()
    note(ne.page, 'ne unsent')
    must(changeRecord(context(ne.page), 'kit', 'packs', pack, { label: 'P10' }))
    const before = ne.member
    ne.member = { ...before, askSession: () => Promise.resolve({ reached: true, session: null }) }
    board.sessions.byCookie.delete(before.cookie.split('=')[1]!)
    board.restore(backup)
    await board.open()
    await until(() => expect(ne.page.snapshot().membership.state).toBe('revoked'))
    // Joined anew, it is another person and another device.
    ne.member = board.phone('ne-again', 'mechanic').member
    await ne.page.restart()
    await until(() =>
      expect(told(ne.page)).toEqual([
        'Note ne saved, About: Spring',
        'Note ne saved, Note: ne saved',
        'Note ne unsent, About: Spring',
        'Note ne unsent, Note: ne unsent',
        'Pack P10, Pack label: P10',
      ]),
    )
    const reasons = ne.page.snapshot().drafts.map((d) => `${d.words}: ${d.rejection.reason}`)
    expect(reasons).toContainEqual(expect.stringMatching(/ne saved: It was saved/))
    expect(reasons).toContainEqual(expect.stringMatching(/ne unsent: Made by ne before/))
    expect(texts(`meeting-${spring}`)).toEqual([])
    const { refused } = await applyAgain(ne.page, ne.page.snapshot().drafts)
    expect(refused).toBeNull()
    await until(() => expect(ne.page.snapshot().pending).toBe(0))
    await until(() => expect(texts(`meeting-${spring}`)).toEqual(['ne saved', 'ne unsent']))
    // Nothing of the past membership stays aside, and none of it is told again.
    await ne.close()
    const store = new IdbStore({ name: ne.database })
    expect((await store.rooms()).map((r) => r.room).sort()).toEqual(['kit', `meeting-${spring}`].sort())
    expect(await store.drafts()).toHaveLength(5)
    store.close()
  })

  it('joins anew on a board that was not restored: what was saved is there and is not told', async () => {
    const spring = await meeting(ma, 'Spring')
    await mo.page.openMeeting(spring)
    await saved(mo.page)
    note(mo.page, 'mo saved')
    await saved(mo.page)
    await mo.close()
    mo.member = board.phone('mo-again', 'mechanic').member
    await mo.visit()
    await mo.page.openMeeting(spring)
    await saved(mo.page)
    const store = new IdbStore({ name: mo.database })
    await vi.waitFor(async () => {
      const names = (await store.rooms()).map((r) => r.room)
      expect(names.filter((name) => name.startsWith('aside'))).toEqual([])
    })
    store.close()
    expect(told(mo.page)).toEqual([])
    note(mo.page, 'next')
    await saved(mo.page)
    expect(texts(`meeting-${spring}`)).toEqual(['mo saved', 'next'])
  })
})
