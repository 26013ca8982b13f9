import { cpSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { backUp } from '@/server/storage/backup'
import { openDatabase } from '@/server/storage/open-database'
import { restore } from '@/server/storage/restore'
import { Disk } from '../support/disk'
import { endOfLog } from '../support/end-of-log'
import type { ServerProcess } from '../support/server-process'
import { outcomeOf, type Attack } from './attack'
import type { Ground } from './ground'
import type { ProtocolPhone } from './protocol-phone'

interface Health {
  database: { writable: boolean; reason: string | null }
  notices: string[]
}
const health = async (ground: Ground, server: ServerProcess): Promise<Health> =>
  JSON.parse((await ground.http(server, 'GET', '/healthz')).text) as Health

async function until(ground: Ground, holds: () => boolean | Promise<boolean>): Promise<boolean> {
  for (let i = 0; i < 200; i++) {
    if (await holds()) return true
    await ground.wait(50)
  }
  return false
}

/** Take the folder away, edit, put it back; what an honest phone hears meanwhile and afterwards. */
async function withoutFolder(ground: Ground, takeAway: (data: string, away: string) => void) {
  const server = await ground.server()
  const crew = await ground.crew(server)
  const room = await ground.meeting(server, crew.manager)
  const phone = await ground.joined(server, crew.mechanic, room)
  phone.set('notes', 'n1', 'about', 'before')
  await phone.barrier()
  const data = server.dataFolder
  const away = `${data}-away`
  takeAway(data, away)
  phone.set('notes', 'n1', 'about', 'meanwhile')
  const saved = await phone.barrier(3_000)
  const { reason } = (await health(ground, server)).database
  const told = phone.roomState
  rmSync(data, { recursive: true, force: true })
  renameSync(away, data)
  const back = await until(ground, () => phone.roomState?.state === 'writable')
  phone.set('notes', 'n1', 'about', 'after')
  const again = await phone.barrier()
  return outcomeOf([
    [saved === null, 'an edit meanwhile is not acknowledged'],
    [
      told?.state === 'read-only' && /moved or replaced/.test(told.reason),
      `the phone is told: ${JSON.stringify(told)}`,
    ],
    [reason !== null, `/healthz says why: ${reason}`],
    [back && again !== null, 'put back, the next edit is acknowledged'],
  ])
}

const folderAway: Attack = {
  rule: 'S26',
  title: 'The data folder is pulled away under the running board',
  short: true,
  run: (ground) => withoutFolder(ground, (data, away) => renameSync(data, away)),
}

const folderSwapped: Attack = {
  rule: 'S26',
  title: 'The data folder is swapped for a copy of itself',
  short: false,
  run: (ground) =>
    withoutFolder(ground, (data, away) => {
      cpSync(data, `${data}-copy`, { recursive: true })
      renameSync(data, away)
      renameSync(`${data}-copy`, data)
    }),
}

async function acknowledged(phone: ProtocolPhone, edits: number): Promise<number> {
  let saved = 0
  for (let i = 0; i < edits; i++) {
    phone.set('notes', `n${i}`, 'about', `edit ${i}`)
    if ((await phone.barrier()) !== null) saved++
  }
  return saved
}

const flippedBit: Attack = {
  rule: 'S26',
  title: 'A bit of the log flips after a kill',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const room = await ground.meeting(server, crew.manager)
    const saved = await acknowledged(await ground.joined(server, crew.mechanic, room), 60)
    await server.kill9()
    const log = join(server.dataFolder, 'board.db-wal')
    const bytes = readFileSync(log)
    const at = Math.floor(endOfLog(log) / 3)
    bytes[at] = (bytes[at] ?? 0) ^ 4
    writeFileSync(log, bytes)
    await server.restart()
    const there = Object.keys((await ground.board(server, crew.manager, room))['notes'] ?? {}).length
    const said = /log of edits was damaged/.test(server.output)
    return outcomeOf([
      [saved === 60, `${saved} edits acknowledged`],
      [there === saved || said, `${there} of them there after the start`],
      [said, 'the start says what became of it'],
    ])
  },
}

const lockHeld: Attack = {
  rule: 'S26',
  title: 'Another program keeps the database locked',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const crew = await ground.crew(server)
    const room = await ground.meeting(server, crew.manager)
    const phone = await ground.joined(server, crew.mechanic, room)
    const db = new Database(join(server.dataFolder, 'board.db'))
    db.exec('BEGIN IMMEDIATE')
    phone.set('notes', 'n1', 'about', 'meanwhile')
    const answer = phone.barrier(30_000)
    let slowest = 0
    for (let i = 0; i < 20; i++) {
      slowest = Math.max(slowest, (await ground.http(server, 'GET', '/healthz')).ms)
      await ground.wait(100)
    }
    const told = phone.roomState
    db.exec('ROLLBACK')
    db.close()
    const saved = await answer
    return outcomeOf([
      [slowest < 2_000, `the slowest of 20 answers took ${Math.round(slowest)} ms`],
      [told?.state === 'read-only', `the phone is told: ${JSON.stringify(told)}`],
      [saved !== null, 'the edit is acknowledged once the lock is gone'],
    ])
  },
}

const usedCode: Attack = {
  rule: 'S23',
  title: 'A used single-use code is tried again after a restore',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const { code } = server.invite('manager', { singleUse: true })
    const backup = join(server.dataFolder, 'saturday.backup')
    const client = openDatabase(server.dataFolder)
    await backUp(client, backup, Date.now())
    client.close()
    const first = await ground.http(server, 'POST', '/api/join', { body: { code, name: 'First' } })
    await server.stop()
    const restored = restore(backup, server.dataFolder, Date.now())
    await server.restart()
    const second = await ground.http(server, 'POST', '/api/join', { body: { code, name: 'Second' } })
    return outcomeOf([
      [first.status === 200 && restored.ok, 'used once, then an older backup restored'],
      [second.status !== 200, `the second use is answered with ${second.status}`],
    ])
  },
}

const fullDisk: Attack = {
  rule: 'S12',
  title: 'The board is started on a full disk',
  short: true,
  async run(ground) {
    const disk = new Disk()
    ground.atEnd(() => disk.dispose())
    const server = await ground.server({ env: disk.env })
    const crew = await ground.crew(server)
    await server.stop()
    disk.fill()
    const ended = await server.restart().then(
      () => 'it started',
      (e: unknown) => String(e),
    )
    disk.free()
    await server.restart()
    const kit = await ground.joined(server, crew.manager, 'kit')
    return outcomeOf([
      [/disk is full/.test(ended), 'it says that the disk is full'],
      [!/\n\s+at /.test(ended), 'in words, without a stack'],
      [(await kit.synced()) === true, 'with room again it starts, and everybody is still joined'],
    ])
  },
}

export const diskAttacks: readonly Attack[] = [
  folderAway,
  folderSwapped,
  flippedBit,
  lockHeld,
  usedCode,
  fullDisk,
]
