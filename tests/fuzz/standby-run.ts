import { mkdtempSync, renameSync, rmSync, symlinkSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { makeMeeting } from '../support/make-meeting'
import { Postgres } from '../support/postgres'
import type { ServerProcess } from '../support/server-process'
import { startPeer } from '../support/several-processes'
import { BusyPhone } from './busy-phone'
import { Front } from './front'
import { FuzzPhone, numberOf, OWN } from './fuzz-phone'
import { compareWithHistory } from './processes-run'

const PHONES = 6
/** How long whatever looks after the engines takes to see that the primary is gone, ms: something between. */
const NOTICE_MS = [300, 2_000] as const
/** Nothing of the board is killed here: a process that waits for its engine is not gone. */
const PATIENCE_MS = 10_000
const LAST_MS = 60_000
const LOOK_MS = 5
const ROOM = 'meeting-standby'

export interface Failover {
  /** From the kill until the address led to the promoted standby, ms. */
  ledMs: number
  /** From the kill to the next acknowledged edit of the first phone, and of the last one, ms; null: none within a minute. */
  firstMs: number | null
  lastMs: number | null
  /** Phones that were told meanwhile that the board is read-only, and the reasons. */
  told: number
  reasons: string[]
}

export interface StandbyResult {
  failovers: Failover[]
  acknowledged: number
  /** Acknowledged before the kill, and not in the promoted database before any phone could bring it back. */
  lost: string[]
  /** Acknowledged at any time, and not on the board of a phone that knows nothing. */
  missing: string[]
  /** Shown to somebody else, and in no line of the history. */
  unstored: string[]
  /** Processes that ended by themselves. */
  ended: number
}

/** The folder that the board looks for its engine in: it leads to the one that takes writes. */
class Leading {
  readonly #base = mkdtempSync(join(tmpdir(), 'stagecall-lead-'))
  constructor(to: Postgres) {
    this.lead(to)
  }
  get address(): string {
    return `postgres://stagecall@localhost/board1?host=${encodeURIComponent(join(this.#base, 'at'))}`
  }
  lead(to: Postgres): void {
    symlinkSync(to.folder, join(this.#base, 'next'))
    renameSync(join(this.#base, 'next'), join(this.#base, 'at'))
  }
  dispose(): void {
    rmSync(this.#base, { recursive: true, force: true })
  }
}

/**
 * Two processes under load over a primary whose commits wait for a standby. Again and again the primary's machine goes, the standby is promoted, the address leads to it, and
 * it gets a standby in turn. The processes go on. Needs `pg_basebackup` beside the engine.
 *
 * `isBehind` tries the judgment itself: the standby lacks the last writes when it is promoted, and the run ends there.
 */
export async function runStandby(
  times: number,
  log: (line: string) => void,
  isBehind = false,
): Promise<StandbyResult> {
  let primary = await Postgres.start()
  let standby: Postgres | null = null
  const servers: ServerProcess[] = []
  const phones: BusyPhone[] = []
  let front: Front | null = null
  let leading: Leading | null = null
  const result: StandbyResult = {
    failovers: [],
    acknowledged: 0,
    lost: [],
    missing: [],
    unstored: [],
    ended: 0,
  }
  try {
    await primary.database()
    standby = await Postgres.standbyOf(primary)
    leading = new Leading(primary)
    for (let n = 0; n < 2; n++) servers.push(await startPeer(leading.address, { STAGECALL_LOG: 'warn' }))
    front = await Front.start(
      servers.map((s) => s.port),
      PATIENCE_MS,
    )
    const { cookie } = await (servers[0] as ServerProcess).join('manager', { name: 'Boss' })
    await makeMeeting(front.port, cookie, 'standby')
    const url = `ws://127.0.0.1:${front.port}/sync/${ROOM}`
    for (let n = 0; n < PHONES; n++) phones.push(new BusyPhone(new FuzzPhone(`phone${n}`, cookie, url)))
    for (let n = 0; n < times; n++) {
      await allAcknowledgedMore(phones)
      // At any moment between two edits, and in the middle of one.
      await sleep(Math.random() * 1_000)
      const killed: Postgres = primary
      const promoted: Postgres | null = standby
      if (!promoted) throw new Error('There is no standby')
      if (isBehind) {
        await promoted.fallBehind(killed)
        await allAcknowledgedMore(phones)
      }
      const states = phones.map((p) => p.phone.roomStates.length)
      const at = performance.now()
      await killed.kill()
      await sleep(NOTICE_MS[0] + Math.random() * (NOTICE_MS[1] - NOTICE_MS[0]))
      await promoted.promote()
      // Before any process reaches it: a phone could bring back what was lost.
      result.lost.push(...(await lostIn(promoted, phones)))
      result.acknowledged = phones.reduce((sum, { phone }) => sum + phone.acknowledged, 0)
      if (isBehind) return result
      const known = phones.map((p) => p.phone.acknowledged)
      leading.lead(promoted)
      const ledMs = performance.now() - at
      const again = phones.map((): number | null => null)
      await until(() => {
        phones.forEach((p, i) => {
          if (p.phone.acknowledged > (known[i] ?? 0)) again[i] ??= performance.now() - at
        })
        return again.every((ms) => ms !== null)
      }, LAST_MS)
      const heard = phones.map((p, i) =>
        p.phone.roomStates.slice(states[i]).flatMap((s) => (s.state === 'read-only' ? [s.reason] : [])),
      )
      const back = again.flatMap((ms) => (ms === null ? [] : [ms]))
      const failover: Failover = {
        ledMs,
        firstMs: back.length > 0 ? Math.min(...back) : null,
        lastMs: back.length === phones.length ? Math.max(...back) : null,
        told: heard.filter((reasons) => reasons.length > 0).length,
        reasons: [...new Set(heard.flat())],
      }
      result.failovers.push(failover)
      log(
        `${n + 1}: led to the standby after ${Math.round(ledMs)} ms, next edit acknowledged after ${Math.round(failover.firstMs ?? NaN)} ms, ` +
          `of the last phone ${Math.round(failover.lastMs ?? NaN)} ms; ${failover.told} of ${PHONES} phones told read-only`,
      )
      primary = promoted
      standby = null
      await killed.dispose()
      if (n + 1 < times) standby = await Postgres.standbyOf(primary)
    }
    for (const p of phones) p.rest()
    const fresh = new FuzzPhone('fresh', cookie, url)
    await until(() => {
      if (!fresh.connected) fresh.connect()
      return fresh.hasAnswer() && phones.every((p) => p.phone.takesEdits)
    }, LAST_MS)
    const board = fresh.doc.getMap(OWN.collection)
    const saved = phones.flatMap(({ phone }) => [...phone.saved()])
    result.missing = saved
      .filter(([key, n]) => !(numberOf(board.get(key)) >= n))
      .map(([key, n]) => `${key} at ${n}`)
    const seen = new Map([...phones.map((p) => p.phone), fresh].map((p) => [p.name, [...p.seen]]))
    const at = { server: primary, address: primary.addressOf('board1') }
    result.unstored = (await compareWithHistory(at, ROOM, seen)).unstored
    result.acknowledged = phones.reduce((sum, { phone }) => sum + phone.acknowledged, 0)
    result.ended = servers.filter((s) => !s.running).length
    fresh.destroy()
    return result
  } finally {
    for (const p of phones) p.end()
    front?.close()
    await Promise.all(servers.map((s) => s.dispose()))
    await standby?.dispose()
    await primary.dispose()
    leading?.dispose()
  }
}

/** Until each of them has heard of another edit that is saved. */
async function allAcknowledgedMore(phones: readonly BusyPhone[]): Promise<void> {
  const before = phones.map((p) => p.phone.acknowledged)
  await until(() => phones.every((p, i) => p.phone.acknowledged > (before[i] ?? 0)), LAST_MS)
}

/** What phones were told is saved, and this database has no line of. */
async function lostIn(engine: Postgres, phones: readonly BusyPhone[]): Promise<string[]> {
  const rows = await engine.ask(
    engine.addressOf('board1'),
    `SELECT record_id || ':' || field, after FROM audit JOIN rooms ON rooms.id = audit.room_id
     WHERE rooms.name = $1 AND outcome <> 'refused' AND collection = 'notes' AND after LIKE '%#%'`,
    [ROOM],
  )
  const newest = new Map<string, number>()
  for (const [key, after] of rows) {
    const n = numberOf(JSON.parse(String(after)))
    newest.set(String(key), Math.max(n, newest.get(String(key)) ?? 0))
  }
  return phones.flatMap(({ phone }) =>
    [...phone.saved()]
      .filter(([key, n]) => !((newest.get(key) ?? 0) >= n))
      .map(([key, n]) => `${key} at ${n}, the database has ${newest.get(key) ?? 'nothing'}`),
  )
}

async function until(holds: () => boolean, ms: number): Promise<void> {
  for (const end = performance.now() + ms; !holds() && performance.now() < end;) await sleep(LOOK_MS)
}
