import { setTimeout as sleep } from 'node:timers/promises'
import { makeMeeting } from '../support/make-meeting'
import type { ServerProcess } from '../support/server-process'
import { startPeer } from '../support/several-processes'
import { BusyPhone } from './busy-phone'
import { Front } from './front'
import { FuzzedPostgres } from './fuzz-crew'
import { FuzzPhone, numberOf, OWN } from './fuzz-phone'

const PHONES = 6
/** Nothing is paused here: a process that is slow to answer, on a busy machine, is not gone. */
const PATIENCE_MS = 5_000
const LAST_MS = 30_000
const LINE_GOAL_MS = 2_000

export interface RollingResult {
  restarts: number
  acknowledged: number
  /** Acknowledged, and not on the board in the end. */
  lost: string[]
  /** How long phones were without a line that took their edits, each time, ms. */
  gaps: number[]
  /** Lines that ended, by their code. */
  closes: Map<number, number>
}

/** Three processes under load, each stopped in good order and started again, one after the other, as an upgrade does it. */
export async function runRolling(rounds: number, log: (line: string) => void): Promise<RollingResult> {
  const postgres = await FuzzedPostgres.start()
  const servers: ServerProcess[] = []
  for (let n = 0; n < 3; n++) servers.push(await startPeer(postgres.address, { STAGECALL_LOG: 'warn' }))
  const front = await Front.start(
    servers.map((s) => s.port),
    PATIENCE_MS,
  )
  const phones: BusyPhone[] = []
  try {
    const { cookie } = await (servers[0] as ServerProcess).join('manager', { name: 'Boss' })
    await makeMeeting(front.port, cookie, 'rolling')
    const url = `ws://127.0.0.1:${front.port}/sync/meeting-rolling`
    for (let n = 0; n < PHONES; n++) phones.push(new BusyPhone(new FuzzPhone(`phone${n}`, cookie, url)))
    await sleep(1_000)
    let restarts = 0
    for (let round = 0; round < rounds; round++)
      for (const server of servers) {
        await server.stop()
        await sleep(300)
        await server.restart()
        await sleep(700)
        if (++restarts % 3 === 0) log(`${restarts} restarts`)
      }
    for (const p of phones) p.rest()
    const fresh = new FuzzPhone('fresh', cookie, url)
    for (
      let at = 0;
      at < LAST_MS && !(fresh.hasAnswer() && phones.every((p) => p.phone.takesEdits));
      at += 10
    ) {
      if (!fresh.connected) fresh.connect()
      await sleep(10)
    }
    const board = fresh.doc.getMap(OWN.collection)
    const lost = phones.flatMap(({ phone }) =>
      [...phone.saved()]
        .filter(([key, n]) => !(numberOf(board.get(key)) >= n))
        .map(([key, n]) => `${key} at ${n}`),
    )
    fresh.destroy()
    const closes = new Map<number, number>()
    for (const { phone } of phones) for (const c of phone.closes) closes.set(c, (closes.get(c) ?? 0) + 1)
    const acknowledged = phones.reduce((sum, { phone }) => sum + phone.acknowledged, 0)
    return { restarts, acknowledged, lost, gaps: phones.flatMap((p) => p.gaps), closes }
  } finally {
    for (const p of phones) p.end()
    front.close()
    await Promise.all(servers.map((s) => s.dispose()))
    await postgres.server.dispose()
  }
}

/** The figures beside their goals; false where one is missed. */
export function sayRolling(r: RollingResult): boolean {
  const gaps = [...r.gaps].sort((a, b) => a - b)
  const at = (share: number) =>
    Math.round(gaps[Math.min(gaps.length - 1, Math.floor(gaps.length * share))] ?? NaN)
  const rows: [string, number, string, boolean][] = [
    ['edits acknowledged', r.acknowledged, 'more than 0', r.acknowledged > 0],
    ['acknowledged edits lost', r.lost.length, '0', r.lost.length === 0],
    ['lines that ended', gaps.length, 'more than 0', gaps.length > 0],
    ['without a line p50, ms', at(0.5), `below ${LINE_GOAL_MS}`, at(0.5) < LINE_GOAL_MS],
    ['without a line at most, ms', at(1), `below ${LINE_GOAL_MS}`, at(1) < LINE_GOAL_MS],
  ]
  console.log(
    `${r.restarts} restarts under load; lines ended with ${[...r.closes].map(([c, n]) => `${c} (${n} times)`).join(', ')}`,
  )
  console.table(rows.map(([what, is, goal, isMet]) => ({ what, is, goal, met: isMet ? 'yes' : 'NO' })))
  for (const line of r.lost) console.log(`  lost: ${line}`)
  return rows.every(([, , , isMet]) => isMet)
}
