import { setTimeout as sleep } from 'node:timers/promises'
import { FuzzPhone, numberOf, OWN } from './fuzz-phone'
import type { FuzzCrew } from './fuzz-crew'
import { Random } from './random'
import { START_MS } from '../support/server-process'

export interface KillResult {
  kills: number
  acknowledged: number
  /** Acknowledged edits that were not there after the restart. */
  lost: string[]
  unacknowledgedKept: number
}

const LOOK_MS = 5
const OPENING_LOOKS = 400
const ANSWER_LOOKS = 2_000
/** What one kill takes at most, ms: the phones open, write for a moment, the server starts again, a phone that knows nothing loads the board. */
export const KILL_MS = OPENING_LOOKS * LOOK_MS + 200 + START_MS + ANSWER_LOOKS * LOOK_MS

/**
 * [S12] kill -9 at random moments while three phones write, paced or in bursts. After each restart a phone that knows nothing loads the
 * board: every acknowledged value, or a newer one of the same phone, must be there.
 */
export async function runKills(
  crew: FuzzCrew,
  kills: number,
  seed: number,
  log: (line: string) => void,
): Promise<KillResult> {
  const r = new Random(seed)
  const result: KillResult = { kills: 0, acknowledged: 0, lost: [], unacknowledgedKept: 0 }
  for (let k = 1; k <= kills; k++) {
    const room = await crew.makeRoom(`kill${seed}x${k}`)
    const phones = (['boss', 'mech', 'dora'] as const).map(
      (m) => new FuzzPhone(m, crew.cookie(m), crew.room(room)),
    )
    for (const p of phones) p.connect()
    for (let i = 0; i < OPENING_LOOKS && !phones.every((p) => p.open); i++) await sleep(LOOK_MS)
    const pace = r.pick([0, 0, 1, 5])
    const until = performance.now() + 20 + r.below(180)
    while (performance.now() < until) {
      for (const p of phones) {
        for (let i = r.below(pace === 0 ? 25 : 3); i >= 0; i--) p.editOwn(r.below(6))
        p.askBarrier()
      }
      // Always give the sockets a turn, so that acknowledgements can arrive while more is sent.
      await (pace === 0 ? new Promise((done) => setImmediate(done)) : sleep(pace))
    }
    await crew.kill(r)
    for (const p of phones) p.disconnect()
    const fresh = new FuzzPhone('fresh', crew.cookie('boss'), crew.room(room))
    fresh.connect()
    for (let i = 0; i < ANSWER_LOOKS && !fresh.hasAnswer(); i++) {
      if (!fresh.connected) fresh.connect()
      else fresh.askBarrier()
      await sleep(LOOK_MS)
    }
    if (!fresh.hasAnswer()) result.lost.push(`kill ${k}: the board did not load again`)
    const map = fresh.doc.getMap(OWN.collection)
    for (const p of phones) {
      result.acknowledged += p.acknowledged
      for (const [key, n] of p.saved())
        if (!(numberOf(map.get(key)) >= n))
          result.lost.push(`kill ${k}: ${key} was acknowledged at ${n} and is ${String(map.get(key))}`)
        else result.unacknowledgedKept += Number(numberOf(map.get(key)) > n)
    }
    fresh.destroy()
    for (const p of phones) p.destroy()
    result.kills++
    if (k % 20 === 0) log(`${k} kills, ${result.acknowledged} acknowledged, ${result.lost.length} lost`)
  }
  return result
}
