import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { invitationState } from '@/lib/join/invitation'
import { DatabaseError } from '@/drizzle/database-error'
import { readGeneration } from '@/drizzle/generation'
import { CalendarFeeds } from '@/server/join/calendar-feeds'
import { Invitations } from '@/server/join/invitations'
import { People } from '@/server/join/people'
import { secureRandom } from '@/server/join/secret-hash'
import { SqlSessions } from '@/server/join/sql-sessions'
import { backUp } from '@/server/storage/backup'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openDatabase } from '@/server/storage/open-database'
import { restore, settleFolder } from '@/server/storage/restore'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { verifyDatabase } from '@/server/storage/verify-database'
import { Killed, MortalFiles } from '../../support/mortal-files'

const NOW = Date.UTC(2031, 4, 2, 9)
const clock = { now: () => NOW }
let base: string
/** A folder as the last server left it: killed, so that its last commits stand in the log alone. */
let asLeft: string
let backup: string
let before: string
const open = { code: '', usedCode: '', token: '', feed: '', revokedFeed: '' }

const commit = (store: SqliteStore, value: number) =>
  store.commit({
    updates: [{ room: 'kit', update: Uint8Array.of(0, 0, value), at: NOW }],
    authors: [],
    audit: [],
  })
const openIn = (folder: string) => {
  const client = openDatabase(folder)
  return {
    client,
    store: new SqliteStore(client),
    invitations: new Invitations(client, clock, secureRandom),
    sessions: new SqlSessions(client, clock, secureRandom),
    feeds: new CalendarFeeds(client, clock, secureRandom),
  }
}

beforeAll(async () => {
  base = mkdtempSync(join(tmpdir(), 'stagecall-restore-'))
  const data = join(base, 'data')
  asLeft = join(base, 'as-left')
  backup = join(base, 'saturday.backup')
  const { client, store, invitations, sessions, feeds } = openIn(data)
  commit(store, 1)
  new People(client, clock).put({ id: 'ann', name: 'Ann', role: 'manager' })
  const session = client.transact(() =>
    sessions.create({ personId: 'ann', device: 'Android', invitationId: 'i' }),
  )
  open.token = session.token
  const wish = { role: 'manager', name: null, hours: 12, singleUse: true, createdBy: 'ann' } as const
  open.code = invitations.create(wish).code
  const used = invitations.create(wish)
  open.usedCode = used.code
  const feed = { personId: 'ann', meetingId: 'm', createdBy: 'ann' }
  const made = () => {
    const one = feeds.create(feed)
    if (!one.ok) throw new Error(one.error.reason)
    return one.value
  }
  const [stays, goes] = [made(), made()]
  Object.assign(open, { feed: stays.token, revokedFeed: goes.token })
  await backUp(client, backup, NOW)
  before = readGeneration(client)
  commit(store, 2)
  client.transact(() => invitations.use(used.invitation.id))
  sessions.revoke(session.sessionId)
  feeds.revoke(goes.feed.id)
  cpSync(data, asLeft, { recursive: true })
  client.close()
})
afterAll(() => rmSync(base, { recursive: true }))

let folders = 0
function folder(): string {
  const data = join(base, `run${folders++}`)
  cpSync(asLeft, data, { recursive: true })
  return data
}

/** Which board the next start finds: never neither, and nobody thrown out is in. */
function boardIn(data: string): 'old' | 'new' {
  settleFolder(data)
  const { client, store, invitations, sessions, feeds } = openIn(data)
  try {
    const values = store.load('kit').updates.map((u) => u[2])
    const now = values.length === 2 ? 'old' : 'new'
    expect(values).toEqual(now === 'old' ? [1, 2] : [1])
    expect(readGeneration(client) === before).toBe(now === 'old')
    expect(sessions.findByCookie(`stagecall_session=${open.token}`)).toBeNull()
    const stateOf = (code: string) => {
      const found = invitations.find(code)
      return found && invitationState(found, NOW)
    }
    expect(stateOf(open.usedCode)).toBe('used')
    expect(stateOf(open.code)).toBe('open')
    expect(feeds.find(open.revokedFeed)).toBeNull()
    expect(feeds.find(open.feed)).not.toBeNull()
    expect(verifyDatabase(join(data, DATABASE_FILE)).problems).toEqual([])
    return now
  } finally {
    client.close()
  }
}

function killedAt(n: number): { data: string; mortal: MortalFiles; finished: boolean } {
  const [data, mortal] = [folder(), new MortalFiles(n)]
  try {
    expect(restore(backup, data, NOW, mortal.files)).toMatchObject({ ok: true })
    return { data, mortal, finished: true }
  } catch (e) {
    if (!(e instanceof Killed)) throw e
    return { data, mortal, finished: false }
  }
}

describe('a restore', () => {
  it('[S12] [S23] killed before each of its steps leaves the old or the new board, whole, with everybody out who was out', () => {
    const seen: string[] = []
    for (let n = 0; ; n++) {
      const { data, finished } = killedAt(n)
      seen.push(boardIn(data))
      if (finished) break
    }
    // First the old one, from some step on the new one.
    expect(seen.length).toBeGreaterThan(12)
    expect(seen.join(' ')).toMatch(/^(old ){5,}(new ?){6,}$/)
  }, 120_000)

  it('[S12] [S23] cut off by the power, whatever part of what was not synced is lost', () => {
    let states = 0
    for (let n = 0; ; n++) {
      const first = killedAt(n)
      for (let kept = 0; kept <= first.mortal.unsynced; kept++) {
        const { data, mortal } = killedAt(n)
        mortal.cutPower(kept)
        boardIn(data)
        states++
      }
      if (first.finished) break
    }
    expect(states).toBeGreaterThan(20)
  }, 240_000)

  it('[S12] whose finishing is cut off too, at each of its own steps, is finished by the start after', () => {
    for (let n = 5; ; n++) {
      const { finished } = killedAt(n)
      if (finished) break
      for (let m = 0; ; m++) {
        const { data } = killedAt(n)
        const again = new MortalFiles(m)
        try {
          settleFolder(data, again.files)
        } catch (e) {
          if (!(e instanceof Killed)) throw e
          again.cutPower(0)
          boardIn(data)
          continue
        }
        break
      }
    }
  }, 240_000)

  it('[S12] says in words what a start did about one that was cut off', () => {
    const calls = (() => {
      const all = new MortalFiles()
      restore(backup, folder(), NOW, all.files)
      return all.calls
    })()
    const { data } = killedAt(calls - 3)
    expect(() => openDatabase(data)).toThrow(/restore was cut off here.*npm start/)
    expect(settleFolder(data).join('\n')).toMatch(
      /was cut off. It is finished now.\nThe board from before is saved as .*before-2031/,
    )
    expect(settleFolder(data)).toEqual([])
    const early = killedAt(1).data
    expect(settleFolder(early).join()).toMatch(/before it changed anything/)
  })

  it('keeps the board from before it whole: its last commits stood in the log alone', () => {
    const data = folder()
    const done = restore(backup, data, NOW)
    const kept = done.ok ? (done.value.kept ?? '') : ''
    const elsewhere = join(base, 'kept')
    cpSync(asLeft, elsewhere, { recursive: true })
    for (const part of ['', '-wal', '-shm']) {
      rmSync(join(elsewhere, DATABASE_FILE + part), { force: true })
      if (existsSync(kept + part)) renameSync(kept + part, join(elsewhere, DATABASE_FILE + part))
    }
    expect(boardIn(elsewhere)).toBe('old')
    // Twice within the same moment: the second keeps the first's under another name.
    restore(backup, data, NOW)
    expect(readdirSync(data).filter((f) => /before-[\w-]+$/.test(f)).length).toBeGreaterThan(0)
  })

  it('[S11] remembers who was removed between two restores', () => {
    const data = folder()
    expect(restore(backup, data, NOW).ok).toBe(true)
    const { client } = openIn(data)
    // The board in between does not know the session at all.
    client.connection.exec(`DELETE FROM sessions`)
    client.close()
    expect(restore(backup, data, NOW + 1000).ok).toBe(true)
    expect(boardIn(data)).toBe('new')
  })

  it('says when it can’t be known who was removed since', () => {
    const data = folder()
    writeFileSync(join(data, DATABASE_FILE), 'no database')
    rmSync(join(data, `${DATABASE_FILE}-wal`))
    const done = restore(backup, data, NOW)
    expect(done.ok && done.value.notes.join()).toMatch(/Check the crew/)
  })
})

describe('an empty board is never opened', () => {
  it.each(['-wal', '-mark', '.before-2031-05-02T09-00-00-000Z'])(
    'beside a lost one’s board.db%s',
    (ending) => {
      const data = join(base, `lost${ending}`)
      cpSync(asLeft, data, { recursive: true })
      for (const name of readdirSync(data)) rmSync(join(data, name))
      writeFileSync(join(data, DATABASE_FILE + ending), readFileSync(backup))
      expect(() => openDatabase(data)).toThrow(DatabaseError)
      expect(() => openDatabase(data)).toThrow(/put it back as board.db, restore a backup, or move/)
      expect(existsSync(join(data, DATABASE_FILE))).toBe(false)
      expect(restore(backup, data, NOW).ok).toBe(true)
    },
  )
})
