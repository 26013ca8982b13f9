import { setTimeout as sleep } from 'node:timers/promises'
import { FuzzPhone } from './fuzz-phone'
import { HOSTILE, type FuzzCrew } from './fuzz-crew'
import { hostileFrame } from './hostile-frames'
import { Random } from './random'

export interface HostileResult {
  sent: number
  sockets: number
  refusals: number
  crashes: number
  /** Differences of the board, seen by an honest phone at any time or found after a restart. */
  changes: string[]
  byKind: Map<string, number>
}

/** So many frames are sent before it is looked what became of them. */
const TOGETHER = 3

/** Hostile frames of every kind from a guest's device, while an honest phone watches. The board must not change by a single value. */
export async function runHostile(crew: FuzzCrew, count: number, seed: number): Promise<HostileResult> {
  const r = new Random(seed)
  const room = await crew.makeRoom(`hostile${seed}`)
  const honest = new FuzzPhone('boss', crew.cookie('boss'), crew.room(room))
  const answer = async (p: FuzzPhone) => {
    p.resetAnswer()
    for (let i = 0; i < 2000 && !p.hasAnswer(); i++) {
      if (!p.connected) p.connect()
      p.askBarrier()
      await sleep(5)
    }
  }
  honest.connect()
  await answer(honest)
  for (let i = 0; i < 40; i++) {
    honest.editShared(i)
    honest.editOwn(i)
  }
  await answer(honest)
  const before = honest.board()
  const result: HostileResult = {
    sent: 0,
    sockets: 1,
    refusals: 0,
    crashes: 0,
    changes: [],
    byKind: new Map(),
  }
  honest.doc.on('update', () => {
    if (honest.board() !== before) result.changes.push('the honest phone saw another board')
  })
  let guest = new FuzzPhone(HOSTILE, crew.cookie(HOSTILE), crew.room(room))
  guest.connect()
  while (result.sent < count && result.changes.length === 0) {
    // One that was told to begin anew is not listened to any more: go on as a new page, or the rest of the frames attacks nothing.
    if (guest.rejections.some((x) => x.kind === 'anew')) guest.disconnect()
    if (!guest.open) {
      if (!guest.connected) {
        result.refusals += guest.rejections.length
        // A new page: the old one's document is full of what was refused.
        guest.destroy()
        guest = new FuzzPhone(HOSTILE, crew.cookie(HOSTILE), crew.room(room))
        guest.connect()
        result.sockets++
      }
      await sleep(1)
      if (!crew.server.running) break
      continue
    }
    const { kind, frame } = hostileFrame(r, { doc: guest.doc.getMap('notes').size ? guest.doc : honest.doc })
    guest.send(frame)
    result.sent++
    result.byKind.set(kind, (result.byKind.get(kind) ?? 0) + 1)
    // Sent on without a look, most frames would come to a socket that is not listened to any more.
    if (result.sent % TOGETHER === 0) await guest.heard()
  }
  result.refusals += guest.rejections.length
  if (!crew.server.running) {
    result.crashes++
    await crew.server.restart()
  }
  await answer(honest)
  await crew.kill(r)
  honest.disconnect()
  const fresh = new FuzzPhone('fresh', crew.cookie('boss'), crew.room(room))
  fresh.connect()
  await answer(fresh)
  if (fresh.board() !== before) result.changes.push('after a restart the board is another')
  for (const p of [guest, honest, fresh]) p.destroy()
  return result
}
