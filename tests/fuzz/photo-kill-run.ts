import { setTimeout as sleep } from 'node:timers/promises'
import { START_MS } from '../support/server-process'
import { drawn, sha256 } from '../support/pictures'
import type { FuzzCrew } from './fuzz-crew'
import { FuzzPhone } from './fuzz-phone'
import { Random } from './random'

export interface PhotoKillResult {
  kills: number
  acknowledged: number
  /** Acknowledged photos that were gone or other after a restart. */
  lost: string[]
  /** Photos that nobody was told about, and that are neither there as they were sent nor not there at all. */
  halves: string[]
}

const PHONES = 4
const OPENING_LOOKS = 400
const LOOK_MS = 25
/** What one kill takes at most, ms. */
export const PHOTO_KILL_MS = 1_500 + OPENING_LOOKS * LOOK_MS + START_MS

/** [S12] kill -9 at random moments while four phones send photos. After each restart every acknowledged photo must be there byte by byte. */
export async function runPhotoKills(
  crew: FuzzCrew,
  kills: number,
  seed: number,
  log: (line: string) => void,
): Promise<PhotoKillResult> {
  const r = new Random(seed)
  const result: PhotoKillResult = { kills: 0, acknowledged: 0, lost: [], halves: [] }
  const pictures = await Promise.all(
    Array.from({ length: 24 }, (_, i) =>
      drawn('jpeg', { width: 80 + 40 * (i % 12), height: 300, seed: i + 1 }),
    ),
  )
  const address = (...parts: string[]) => `http://127.0.0.1:${crew.server.port}/api/photos/${parts.join('/')}`
  const headers = { cookie: crew.cookie('mech') }
  for (let k = 1; k <= kills; k++) {
    const meeting = `photo${seed}x${k}`
    const phone = new FuzzPhone('boss', crew.cookie('boss'), crew.room(await crew.makeRoom(meeting)))
    phone.connect()
    for (let i = 0; i < OPENING_LOOKS && !phone.open; i++) await sleep(LOOK_MS)
    const runs = Array.from({ length: PHONES }, (_, i) => `run${i}`)
    for (const run of runs) phone.doc.getMap('entries').set(`${run}:heatId`, 'heat')
    const told = new Map<string, Uint8Array>()
    const tried = new Map<string, Uint8Array>()
    let dying = false
    const send = async (run: string, picture: Uint8Array) => {
      const hash = sha256(picture)
      tried.set(hash, picture)
      const res = await fetch(address(meeting, run, hash), {
        method: 'POST',
        headers: { ...headers, 'content-type': 'image/jpeg' },
        body: new Uint8Array(picture),
      }).catch(() => null)
      if (res?.status === 200) told.set(hash, picture)
      return res?.status ?? 0
    }
    const first = pictures[0]
    if (!first) throw new Error('no picture')
    // The runs are on the board as soon as the first photo is taken.
    for (let i = 0; i < OPENING_LOOKS && (await send('run0', first)) !== 200; i++) await sleep(LOOK_MS)
    const work = runs.map(async (run, i) => {
      for (let n = i; !dying && n < 10 * pictures.length; n += PHONES)
        await send(run, pictures[n % pictures.length] ?? first)
    })
    await sleep(r.below(120))
    dying = true
    await crew.kill(r)
    await Promise.all(work)
    phone.destroy()
    for (const [hash, picture] of tried) {
      const res = await fetch(address(meeting, hash), { headers })
      const is = res.status === 200 ? new Uint8Array(await res.arrayBuffer()) : null
      const isWhole = is !== null && sha256(is) === hash && is.length === picture.length
      if (told.has(hash) && !isWhole)
        result.lost.push(`kill ${k}: photo ${hash.slice(0, 8)} is ${res.status}`)
      else if (!isWhole && res.status !== 404)
        result.halves.push(`kill ${k}: photo ${hash.slice(0, 8)} is ${res.status}`)
    }
    result.acknowledged += told.size
    result.kills++
    if (k % 10 === 0)
      log(`${k} kills, ${result.acknowledged} photos acknowledged, ${result.lost.length} lost`)
  }
  return result
}
