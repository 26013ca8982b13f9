import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { DEMO_EARLIER_MEETING_ID } from '@/demo/seed'
import { ArchiveBoard } from '../support/archive-board'
import { boardOnDisk, type BoardOnDisk } from '../support/board-on-disk'
import { Importer } from '../support/importer'
import { ServerProcess } from '../support/server-process'
import { Random } from './random'

export interface ImportKillResult {
  kills: number
  /** Kills that came before the server said that the import was done. */
  cut: number
  /** Of those, how many left something of the archive behind, in a room that nobody saw or in one that was whole. */
  begun: number
  /** What people would have seen half, what was lost, and what a second import did not put right. */
  faults: string[]
}

const EARLIER = `meeting-${DEMO_EARLIER_MEETING_ID}`
/** More than the server writes in one turn of a room that nobody sees. */
const NOTES = 300
/** One kill in so many comes before the import is asked for: while the file is sent or looked at. */
const EARLY = 8

/**
 * kill -9 at random moments of an import, by the server's own HTTP, into a board that has a meeting of its own and an older copy of one of the archive's.
 * After each restart every room that people see must be as it was or as the archive makes it, whole; then the same archive is imported again, and the board must
 * be what an import without a kill makes it: values, photos and history.
 */
export async function runImportKills(
  kills: number,
  seed: number,
  log: (line: string) => void,
): Promise<ImportKillResult> {
  const r = new Random(seed)
  const base = mkdtempSync(join(tmpdir(), 'stagecall-import-kills-'))
  try {
    const { archive, template } = await prepare(base)
    const start = () =>
      ServerProcess.start({ screens: false, from: template, env: { STAGECALL_LOG: 'warn' } })
    const first = await start()
    const joined = await first.join('manager', { name: 'Importer' })
    const desk = (server: ServerProcess) => new Importer(server, joined.cookie, archive)
    // The importer is on the crew before, or their coming would look like a part of the archive.
    await first.stop()
    rmSync(template, { recursive: true })
    cpSync(first.dataFolder, template, { recursive: true })
    const before = boardOnDisk(template)
    await first.restart()
    const { takeMs: took } = await desk(first).import()
    const whole = boardOnDisk(first.dataFolder)
    await first.dispose()
    const result: ImportKillResult = { kills: 0, cut: 0, begun: 0, faults: [] }
    for (let k = 1; k <= kills; k++) {
      const server = await start()
      const importer = desk(server)
      let isDone = false
      const isEarly = r.below(EARLY) === 0
      const work = importer
        .import(isEarly ? undefined : () => void wait(r.below(Math.ceil(1.1 * took))))
        .then(
          () => (isDone = true),
          () => undefined,
        )
      let killed: Promise<unknown> = Promise.resolve()
      const kill = () => (killed = server.kill9())
      const wait = async (ms: number) => sleep(ms).then(kill)
      if (isEarly) await wait(r.below(200))
      await work
      await sleep(isDone ? Math.ceil(1.1 * took) : 0)
      await killed
      if (!server.running) await server.restart()
      const found = boardOnDisk(server.dataFolder)
      const fault = (what: string) => result.faults.push(`kill ${k}: ${what}`)
      for (const what of seenHalf(before, whole, found)) fault(what)
      if (server.files().some((name) => name.startsWith('import-'))) fault('the sent file was left behind')
      result.kills++
      if (!isDone) {
        result.cut++
        if (different(before, found).length > 0) result.begun++
        await importer.import()
      }
      for (const what of different(whole, boardOnDisk(server.dataFolder))) fault(`imported again: ${what}`)
      await server.dispose()
      if (k % 10 === 0)
        log(
          `${k} kills, ${result.cut} of them cut an import, ${result.begun} after it had written, ${result.faults.length} faults`,
        )
    }
    return result
  } finally {
    rmSync(base, { recursive: true, force: true })
  }
}

/** The demo's team as an archive, and the data folder of a board that has an older copy of one of its meetings, and a team of its own. */
async function prepare(base: string): Promise<{ archive: Buffer; template: string }> {
  const source = await ArchiveBoard.withDemo()
  const target = new ArchiveBoard()
  try {
    await target.take(
      await source.archive('one.zip', { kind: 'meeting', meetingId: DEMO_EARLIER_MEETING_ID }),
    )
    for (let i = 0; i < NOTES; i++) {
      await source.write(EARLIER, 'notes', `later${i}`, 'about', 'meeting')
      const text = { v: `Written later, ${i}`, by: 'petra-amsel', at: source.clock.at }
      await source.write(EARLIER, 'notes', `later${i}`, 'text', text)
    }
    await target.write('kit', 'cars', 'rook', 'note', 'Changed here as well')
    await target.write('kit', 'cars', 'ours', 'name', 'Ours')
    await target.write('kit', 'meetings', 'own', 'name', 'Own')
    await target.write('meeting-own', 'notes', 'n', 'about', 'meeting')
    const archive = source.bytesOf(await source.archive())
    const template = join(base, 'template')
    await target.stop()
    cpSync(target.folder, template, { recursive: true })
    return { archive, template }
  } finally {
    await source.dispose()
    await target.dispose()
  }
}

/** Rooms that people see and that are neither as before nor as the archive makes them. */
function seenHalf(before: BoardOnDisk, whole: BoardOnDisk, found: BoardOnDisk): string[] {
  const rooms = ['kit', ...found.meetingsListed.map((id) => `meeting-${id}`)]
  return rooms.flatMap((room) => {
    const text = found.rooms.get(room)
    const was = before.rooms.get(room)
    if (was !== undefined && text === was) return []
    return text === whole.rooms.get(room) ? [] : [`${room} is neither as it was nor as the archive has it`]
  })
}

function different(a: BoardOnDisk, b: BoardOnDisk): string[] {
  const rooms = [...new Set([...a.rooms.keys(), ...b.rooms.keys()])]
  return [
    ...rooms.filter((room) => a.rooms.get(room) !== b.rooms.get(room)).map((room) => `${room} differs`),
    ...rooms
      .filter((room) => a.history.get(room) !== b.history.get(room))
      .map((room) => `the history of ${room} differs`),
    ...(a.photos === b.photos ? [] : ['photos differ']),
  ]
}
