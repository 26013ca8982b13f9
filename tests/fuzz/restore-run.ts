import 'fake-indexeddb/auto'
import { setTimeout as pause } from 'node:timers/promises'
import { addNote, addRecord, changeRecord, createMeeting, type EditContext } from '@/lib/board'
import { systemClock } from '@/lib/core/clock'
import { backupCommand, restoreCommand } from '@/server/admin/file-commands'
import { readSettings } from '@/server/env'
import { must } from '../support/must'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'
import { TestPhone } from '../support/test-phone'
import { Random } from './random'

const CREW = [
  ['ma', 'manager'],
  ['mi', 'mechanic'],
  ['mo', 'mechanic'],
] as const
const STEPS = 40
const PATIENCE_MS = 60_000
const TOLD_MS = 10_000

export interface RestoreResult {
  seed: number
  /** What vanished without a word, what was never acknowledged, where phones and server differ. */
  faults: string[]
  edits: number
  restores: number
  /** Edits that a restore took and their author was told of. */
  told: number
  killed: number
  /** What was done, in order. */
  trace: string[]
}

/** A device with the browser's own code, and what its person wrote. */
interface Fuzzed {
  name: string
  phone: TestPhone
  isOpen: boolean
  /** This person's own pack, which nobody else touches, and what it was last called. */
  pack: string
  label: string
  /** The texts of this person's notes. */
  notes: string[]
}

/**
 * [S23] One seeded day: a crew's phones (the browser's own code over the real server process) edit, are closed, killed and opened again, while the
 * board is backed up and restored from any of its backups at any moment. In the end whatever somebody wrote last is on the board, or its author was
 * told that it is not; and everything written from then on is acknowledged.
 */
export async function runRestores(seed: number): Promise<RestoreResult> {
  const r = new Random(seed)
  const result: RestoreResult = { seed, faults: [], edits: 0, restores: 0, told: 0, killed: 0, trace: [] }
  const server = await ServerProcess.start({ screens: false, env: { STAGECALL_LOG: 'error' } })
  const admin = {
    settings: readSettings({ STAGECALL_DATA: server.dataFolder }, server.dataFolder),
    clock: systemClock,
    folder: server.dataFolder,
    origins: [],
    print: () => undefined,
  }
  const crew: Fuzzed[] = []
  let meeting = ''
  let backups = 0

  const note = (what: string) => void result.trace.push(`${Math.round(performance.now())} ${what}`)
  const open = async (f: Fuzzed) => {
    note(`${f.name} opens`)
    await f.phone.visit()
    f.isOpen = true
    if (meeting !== '') await f.phone.page.openMeeting(meeting)
  }
  const context = (f: Fuzzed): EditContext | null => {
    const { page } = f.phone
    const { membership } = page.snapshot()
    const board = page.meetingBoard
    return membership.state === 'member' && board ? board.context(membership.session) : null
  }
  const edit = (f: Fuzzed) => {
    const ctx = f.isOpen ? context(f) : null
    if (!ctx) return
    const text = `${f.name}#${++result.edits}`
    if (r.chance(0.5)) {
      const done = changeRecord(ctx, 'kit', 'packs', f.pack, { label: text })
      // The restored board may lack the pack while its author has not been told yet.
      if (done.ok) f.label = text
      note(`${text} as label ${done.ok ? '' : 'refused'}`)
    } else {
      const done = addNote(ctx, { about: 'meeting', text })
      if (done.ok) f.notes.push(text)
      note(`${text} as note ${done.ok ? '' : 'refused'}`)
    }
  }
  const isSaved = (f: Fuzzed) => {
    const { online, pending, fetching } = f.phone.page.snapshot()
    return online && pending === 0 && !fetching
  }
  const saved = async (f: Fuzzed, when: string) => {
    const end = performance.now() + PATIENCE_MS
    while (!isSaved(f)) {
      if (performance.now() > end) {
        result.faults.push(`${when}: ${f.name} is not saved: ${JSON.stringify(f.phone.page.snapshot())}`)
        return
      }
      await pause(10)
    }
  }
  const close = async (f: Fuzzed) => {
    note(`${f.name} closes`)
    await f.phone.close()
    f.isOpen = false
  }
  /** What was edited a while ago is on the device; what goes on at this moment ends where it is. */
  const kill = (f: Fuzzed) => {
    note(`${f.name} is killed`)
    f.phone.kill()
    f.isOpen = false
    result.killed++
  }
  const some = () => r.pick(crew)
  const restore = async () => {
    await server.stop()
    for (const f of crew) if (r.chance(0.5)) edit(f)
    for (const f of crew) if (f.isOpen) await f.phone.page.stored()
    const from = `b${r.below(backups)}`
    note(`restored from ${from}`)
    restoreCommand(admin, from)
    await server.restart()
    result.restores++
    // Some pages die while they change over.
    for (const f of crew)
      if (f.isOpen && r.chance(0.3)) {
        await pause(r.below(150))
        kill(f)
      }
  }
  const acts = {
    edit: () => edit(some()),
    saved: async () => {
      const f = some()
      if (f.isOpen) await saved(f, 'on the way')
      note(`${f.name} is saved`)
    },
    close: async () => {
      const f = some()
      if (f.isOpen) await close(f)
    },
    open: async () => {
      const f = some()
      if (!f.isOpen) await open(f)
    },
    wait: () => pause(r.below(40)),
    backup: () => {
      note(`backed up as b${backups}`)
      return backupCommand(admin, `b${backups++}`)
    },
    restore,
  }
  const weights: Record<keyof typeof acts, number> = {
    edit: 40,
    saved: 8,
    close: 4,
    open: 8,
    wait: 8,
    backup: 4,
    restore: 4,
  }

  try {
    for (const [name, role] of CREW) {
      const { cookie, ...joined } = await server.join(role, { name })
      const { token: _, ...session } = joined
      const phone = new TestPhone({
        url: () => `ws://127.0.0.1:${server.port}/sync`,
        cookie,
        askSession: () => Promise.resolve({ reached: true, session }),
      })
      const f: Fuzzed = { name, phone, isOpen: false, pack: '', label: `P-${name}`, notes: [] }
      crew.push(f)
      await open(f)
      await saved(f, 'at the start')
      const ctx = phone.page.kitBoard?.context({ state: 'active', ...session })
      if (!ctx) throw new Error(`${name} has no kit`)
      if (role === 'manager')
        meeting = must(
          createMeeting(ctx, { name: 'Spring', startsAt: Date.now(), trackId: null, copiedFrom: null }),
        )
      f.pack = must(addRecord(ctx, 'kit', 'packs', { label: f.label }))
      await saved(f, 'at the start')
      await phone.page.openMeeting(meeting)
    }
    for (const f of crew) await saved(f, 'at the start')
    await backupCommand(admin, `b${backups++}`)
    for (let step = 0; step < STEPS && result.faults.length === 0; step++) await acts[r.weighted(weights)]()
    if (result.restores === 0) await restore()

    for (const f of r.shuffle(crew)) if (!f.isOpen) await open(f)
    for (const f of crew) await saved(f, 'at the end')
    // What the others did on the way home has come to everybody.
    for (const f of crew) await saved(f, 'at the end')
    const [kit, board] = [await readBoard(server, 'kit'), await readBoard(server, `meeting-${meeting}`)]
    const texts = new Set(
      Object.entries(board['notes'] ?? {}).flatMap(([key, value]) =>
        key.endsWith(':text') ? [(value as { v: string }).v] : [],
      ),
    )
    for (const f of crew) {
      const written = [...f.notes, f.label].filter((text) =>
        text === f.label ? kit['packs']?.[`${f.pack}:label`] !== text : !texts.has(text),
      )
      // What a page finds out on its way home is on its screen a moment after it says that all is saved.
      const end = performance.now() + TOLD_MS
      const untold = () => {
        const drafts = JSON.stringify(f.phone.page.snapshot().drafts)
        return written.filter((text) => !drafts.includes(text))
      }
      while (untold().length > 0 && performance.now() < end) await pause(20)
      result.told += written.length - untold().length
      for (const text of untold()) result.faults.push(`${text} vanished, and ${f.name} was not told`)
      for (const text of written) note(`${text} is not on the board`)
    }
    for (const f of crew) {
      const ctx = context(f)
      if (!ctx) throw new Error(`${f.name} has no board in the end`)
      must(addNote(ctx, { about: 'meeting', text: `last ${f.name}` }))
      must(changeRecord(ctx, 'kit', 'packs', f.pack, { label: `last ${f.name}` }))
      await saved(f, 'after it all')
    }
    const after = JSON.stringify([
      await readBoard(server, 'kit'),
      await readBoard(server, `meeting-${meeting}`),
    ])
    for (const f of crew)
      if (after.split(`"last ${f.name}"`).length < 3)
        result.faults.push(`what ${f.name} wrote last was acknowledged and is not there`)
  } catch (e) {
    result.faults.push(e instanceof Error ? (e.stack ?? e.message) : String(e))
  } finally {
    for (const f of crew) await f.phone.close()
    await server.dispose()
  }
  return result
}
