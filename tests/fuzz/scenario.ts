import { setTimeout as sleep } from 'node:timers/promises'
import type * as Y from 'yjs'
import { exportDoc } from '@/lib/board'
import { CLOSE } from '@/lib/sync/close-codes'
import { CREW, HOSTILE, type FuzzCrew, type Member } from './fuzz-crew'
import { FuzzPhone, numberOf, OWN } from './fuzz-phone'
import { hostileFrame } from './hostile-frames'
import { Random } from './random'

/** What should never happen. `lost` includes what was acknowledged falsely; `trouble` is whatever else went wrong. */
export const FAULTS = {
  lost: 'acknowledged edits lost',
  leak: 'forbidden values seen by others',
  divergence: 'divergences',
  crash: 'crashes',
  hang: 'hangs',
  trouble: 'other faults',
} as const
export type FaultKind = keyof typeof FAULTS

export interface ScenarioResult {
  seed: number
  /** Empty for a good run. */
  faults: { kind: FaultKind; what: string }[]
  steps: number
  acknowledged: number
  refused: number
  restarts: number
  /** What each phone was shown of other people's own work, `key value`. */
  seen: Map<string, string[]>
}

const STEPS = 140
const SETTLE_MS = 20_000

/** Where each member may not write; whoever else sees such a value has seen a leak. */
const FORBIDDEN: Record<(typeof CREW)[number][0], [string, string, string][]> = {
  boss: [['boats', 'b1', 'name']],
  mech: [
    ['meeting', 'meeting', 'name'],
    ['heats', 'h1', 'label'],
  ],
  mate: [['classes', 'k1', 'name']],
  dora: [
    ['jobs', 'j1', 'text'],
    ['entries', 'e1', 'driverName'],
  ],
  gus: [
    ['notes', 'shared-1', 'about'],
    ['jobs', 'j1', 'text'],
  ],
}

/** One seeded run: phones of all roles work, the world around them misbehaves, and in the end everything must agree. `kills`: how often, 1 is about once. */
export async function runScenario(crew: FuzzCrew, seed: number, kills = 1): Promise<ScenarioResult> {
  const r = new Random(seed)
  const room = await crew.makeRoom(`fuzz${seed}`)
  const faults: ScenarioResult['faults'] = []
  const fault = (kind: FaultKind, ...what: string[]) =>
    void faults.push(...what.map((w) => ({ kind, what: w })))
  const restartsBefore = crew.restarts
  const phones = new Map<Member, FuzzPhone>()
  const phone = (member: Member): FuzzPhone => {
    const known = phones.get(member)
    if (known) return known
    const p = new FuzzPhone(member, crew.cookie(member), crew.room(room))
    p.connect()
    phones.set(member, p)
    return p
  }
  for (const [member] of CREW) phone(member)
  let hostile: FuzzPhone | null = null
  const roleChanged = new Set<Member>()
  const outputBefore = crew.server.output.length
  await sleep(60)

  const anyPhone = () => phone(r.pick(CREW)[0])
  const writer = () => phone(r.pick(['boss', 'mech', 'mate', 'dora'] as const))
  const edit = (p: FuzzPhone) => {
    if (r.chance(0.6)) p.editOwn(r.below(4))
    else p.editShared(r.below(4))
  }
  const acts = {
    edit: () => {
      const p = writer()
      edit(p)
      if (r.chance(0.5)) p.askBarrier()
    },
    burst: () => {
      const p = writer()
      for (let i = r.below(30); i >= 0; i--) edit(p)
      p.askBarrier()
    },
    together: () => {
      const p = writer()
      p.together(() => {
        edit(p)
        edit(p)
        if (r.chance(0.3)) p.editForbidden(...r.pick(FORBIDDEN[p.name as keyof typeof FORBIDDEN]))
      })
      p.askBarrier()
    },
    forbidden: () => {
      const [member] = r.pick(CREW)
      phone(member).editForbidden(...r.pick(FORBIDDEN[member]))
    },
    delete: () => {
      const p = anyPhone()
      const keys = [...p.doc.getMap(OWN.collection).keys()].filter((k) => k.startsWith('shared'))
      if (keys.length) p.deleteKey(OWN.collection, r.pick(keys))
    },
    leave: () => anyPhone().disconnect(),
    come: () => {
      for (const p of phones.values()) if (r.chance(0.7)) p.connect()
    },
    scramble: () => void (writer().scrambling = true),
    release: () => {
      for (const p of phones.values()) p.release((u) => (r.chance(0.7) ? r.shuffle(u) : u))
    },
    hang: () => anyPhone().hang(true),
    unhang: () => phones.forEach((p) => p.hang(false)),
    hostile: () => {
      // A device of the guest's beside the phones: what it does to itself is its own affair.
      if (!hostile?.connected) {
        hostile?.destroy()
        hostile = new FuzzPhone(HOSTILE, crew.cookie(HOSTILE), crew.room(room))
        hostile.connect()
        return
      }
      for (let i = r.below(5); i >= 0; i--) hostile.send(hostileFrame(r, hostile).frame)
      if (r.chance(0.3)) anyPhone().send(r.bytes(r.below(60)))
    },
    wait: () => sleep(r.below(25)),
    kill: async () => {
      await crew.kill(r)
      for (const p of phones.values()) p.disconnect()
      await checkSaved('after kill -9', await serverDoc())
    },
    fullDisk: () => void crew.fillDisk(true),
    freeDisk: () => {
      if (crew.diskFull) crew.fillDisk(false)
    },
    clock: () => crew.jumpClock(),
    revoke: async () => {
      if (crew.diskFull) return refusedAsFull('joining', await crew.tryToJoin())
      const old = phone('gus')
      await crew.replaceDevice('gus', 'guest')
      // The old device is told as soon as its line takes anything, and its socket does not come back; the new one starts from nothing.
      const closed = async () => {
        for (let i = 0; i < 1000 && old.connected; i++) await sleep(10)
        return !old.connected
      }
      old.hang(false)
      if (!(await closed())) fault('trouble', 'a revoked device kept its socket')
      old.connect()
      if (!(await closed()) || old.closes.at(-1) !== CLOSE.revoked)
        fault('trouble', `a revoked device came back (closed with ${old.closes.at(-1) ?? 'nothing'})`)
      fault('leak', ...old.leaks)
      old.destroy()
      phones.delete('gus')
    },
    role: async () => {
      if (crew.diskFull) return refusedAsFull('a role change', await crew.tryRole('mate', 'mechanic'))
      const [member, home] = r.pick(CREW.filter(([m]) => m === 'mate' || m === 'mech'))
      roleChanged.add(member)
      await crew.setRole(member, r.chance(0.5) ? 'guest' : home)
    },
  }
  const weights: Record<keyof typeof acts, number> = {
    edit: 40,
    burst: 6,
    together: 8,
    forbidden: 12,
    delete: 3,
    leave: 5,
    come: 9,
    scramble: 2,
    release: 4,
    hang: 2,
    unhang: 3,
    hostile: 8,
    wait: 16,
    kill: kills,
    fullDisk: 1,
    freeDisk: 4,
    clock: 1,
    revoke: 1,
    role: 3,
  }

  /** [S7] The server says what is wrong instead of falling over it. */
  function refusedAsFull(what: string, status: number): void {
    if (status !== 503) fault('trouble', `${what} on a full disk was answered with ${status}`)
  }
  /** A client that knows nothing, as the server is now. */
  async function serverDoc(): Promise<FuzzPhone> {
    const fresh = new FuzzPhone('fresh', crew.cookie('boss'), crew.room(room))
    await settle([fresh], 'a fresh phone')
    return fresh
  }
  async function checkSaved(when: string, fresh: FuzzPhone): Promise<void> {
    const map = fresh.doc.getMap(OWN.collection)
    for (const p of phones.values())
      for (const [key, n] of p.saved()) {
        const stored = numberOf(map.get(key))
        if (stored >= n) continue
        const history = await crew.history(room, key)
        fault('lost', `${when}: ${key} was acknowledged at ${n} and is ${String(map.get(key))}; ${history}`)
      }
    fault('leak', ...fresh.leaks.map((l) => `${when}: ${l}`))
    fresh.destroy()
  }
  /** Until every phone is connected and its barrier is answered; a phone that was closed for its conduct may come back. */
  async function settle(list: FuzzPhone[], what: string): Promise<void> {
    const start = Date.now()
    const answered = new Set<FuzzPhone>()
    while (Date.now() - start < SETTLE_MS) {
      for (const p of list) {
        p.hang(false)
        if (!p.connected) {
          answered.delete(p)
          p.connect()
        }
        p.release((u) => u)
        if (p.open && p.unanswered === 0) p.askBarrier()
      }
      await sleep(15)
      for (const p of list) if (p.open && p.hasAnswer()) answered.add(p)
      if (answered.size === list.length) return
    }
    fault(
      'hang',
      `${what}: no answer within ${SETTLE_MS / 1000} s from ${list
        .filter((p) => !answered.has(p))
        .map((p) => `${p.name} (${p.describe()})`)
        .join(', ')}`,
    )
  }

  let steps = 0
  try {
    for (; steps < STEPS && faults.length === 0; steps++) {
      await acts[r.weighted(weights)]()
      if (!crew.server.running) throw new Error('the server’s process ended')
      if (steps % 6 === 0) await sleep(1)
    }
    if (crew.diskFull) crew.fillDisk(false)
    for (const [member, role] of CREW) if (roleChanged.has(member)) await crew.setRole(member, role)
    await settle([...phones.values()], 'at the end')
    // Twice: what the first round brought has been sent around by the second.
    for (const p of phones.values()) p.resetAnswer()
    await settle([...phones.values()], 'at the end')
    const fresh = await serverDoc()
    // The last broadcasts may still be on their way.
    const same = () => [...phones.values()].every((p) => p.board() === fresh.board())
    for (let i = 0; i < 200 && !same(); i++) await sleep(20)
    for (const p of phones.values())
      if (p.board() !== fresh.board())
        fault('divergence', `${p.name} and the server disagree: ${difference(p.doc, fresh.doc)}`)
    await checkSaved('at the end', fresh)
    for (const p of phones.values()) {
      fault('leak', ...p.leaks)
      if (p.doc.store.pendingStructs) fault('divergence', `${p.name} waits for edits that never come`)
    }
    const { output } = crew.server
    // What a process has said comes in pieces: a line that had begun before is judged whole.
    const complaints = output
      .slice(output.lastIndexOf('\n', outputBefore - 1) + 1)
      .split('\n')
      .filter((l) => l.includes('broke the guard') || l.includes('could not be read again'))
      // That is as it should be: another process judges, and this one has put its board away.
      .filter((l) => !l.includes('"trouble":"taken-over"'))
    fault('trouble', ...complaints.map((l) => `the server complained: ${l}`))
  } catch (e) {
    fault(
      crew.server.running ? 'trouble' : 'crash',
      `${e instanceof Error ? e.message : String(e)}\n${crew.server.output.slice(-600)}`,
    )
    if (crew.server.running && crew.diskFull) crew.fillDisk(false)
  }
  const result: ScenarioResult = {
    seed,
    faults,
    steps,
    acknowledged: [...phones.values()].reduce((n, p) => n + p.acknowledged, 0),
    refused: [...phones.values()].reduce((n, p) => n + p.rejections.length, 0),
    restarts: crew.restarts - restartsBefore,
    seen: new Map([...phones].map(([name, p]) => [name, [...p.seen]])),
  }
  for (const p of [...phones.values(), hostile]) p?.destroy()
  return result
}

function difference(a: Y.Doc, b: Y.Doc): string {
  const [x, y] = [exportDoc('meeting', a), exportDoc('meeting', b)]
  const lines: string[] = []
  for (const name of new Set([...Object.keys(x), ...Object.keys(y)]))
    for (const key of new Set([...Object.keys(x[name] ?? {}), ...Object.keys(y[name] ?? {})]))
      if (JSON.stringify(x[name]?.[key]) !== JSON.stringify(y[name]?.[key]))
        lines.push(
          `${name}/${key}: ${JSON.stringify(x[name]?.[key])} here, ${JSON.stringify(y[name]?.[key])} there`,
        )
  return lines.slice(0, 5).join('; ')
}
