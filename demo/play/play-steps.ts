import { readField, type EditOrigin } from '@/lib/board'
import { canonicalJson, type Json } from '@/lib/core/json'
import { refusalText } from '@/lib/core/result'
import { MINUTE } from '../seed/story'
import { stateText, type Phone } from './phone'
import type { Step } from './step'

export interface PlayOptions {
  steps: readonly Step[]
  phones: ReadonlyMap<string, Phone>
  /** The moment, ms since the epoch, in which the hour begins. */
  beginsAt: number
  /** Waits until a step's time has come. */
  waitFor: (minutes: number) => Promise<void>
  print: (line: string) => void
  /** How long phones may take to agree, ms. */
  patienceMs: number
}

export interface PlayReport {
  steps: number
  writes: number
  expectations: number
  failures: string[]
  /** Milliseconds from a step's last write until every phone on the network held it. */
  settleMs: number[]
  /** Which values each written field may hold at the end: the last one written, or one of two written apart from each other. */
  expected: ReadonlyMap<string, { doc: 'kit' | 'meeting'; path: [string, string, string]; values: Json[] }>
}

/** Play the steps on the phones, and compare the phones after each of them. */
export async function playSteps(o: PlayOptions): Promise<PlayReport> {
  const failures: string[] = []
  const settleMs: number[] = []
  const written = new WrittenFields()
  let expectations = 0
  let writes = 0
  for (const step of o.steps) {
    await o.waitFor(step.at)
    const phone = o.phones.get(step.who)
    if (!phone) {
      failures.push(`${step.who} has no phone`)
      continue
    }
    const now = Math.round(o.beginsAt + step.at * MINUTE)
    const away = phone.online || step.network ? '' : '  [only on this phone]'
    o.print(`${clockText(step.at)}  ${phone.name} ${step.says}${away}`)
    if (step.network === 'away') {
      phone.goAway()
      written.away(step.who)
    }
    if (step.network === 'back') {
      await phone.comeBack()
      written.back(step.who)
    }
    const onEdit = (origin: EditOrigin) => {
      writes += origin.writes.length
      written.wrote(step.who, origin)
    }
    for (const act of step.acts?.(now) ?? []) {
      const actor = { personId: phone.personId, role: phone.role }
      const done = act.do({ docs: phone.docs, actor, clock: { now: () => act.at }, onEdit }, phone.view())
      if (!done.ok) failures.push(`${clockText(step.at)} ${phone.name}: ${refusalText(done.error)}`)
    }
    if (!phone.online) continue
    const online = [...o.phones.values()].filter((p) => p.online)
    const began = performance.now()
    if (!(await settle(online, o.patienceMs)))
      failures.push(`${clockText(step.at)} the phones do not agree after “${step.says}”`)
    settleMs.push(performance.now() - began)
    if (!step.expect) continue
    const { says, holds } = step.expect
    const blind = online.filter((p) => !holds(p.view(), now))
    expectations += online.length
    if (blind.length === 0) o.print(`         on all ${online.length} phones: ${says}`)
    else failures.push(`${clockText(step.at)} not seen by ${blind.map((p) => p.name).join(', ')}: ${says}`)
  }
  return { steps: o.steps.length, writes, expectations, failures, settleMs, expected: written.expected }
}

/** Wait until everything is kept and all phones hold the same. */
export async function settle(phones: readonly Phone[], patienceMs: number): Promise<boolean> {
  const until = performance.now() + patienceMs
  for (let pause = 5; ; pause = Math.min(100, pause * 2)) {
    await Promise.all(phones.map((p) => p.saved()))
    if (new Set(phones.map(stateText)).size <= 1) return true
    if (performance.now() > until) return false
    await new Promise((resolve) => setTimeout(resolve, pause))
  }
}

/** Fields whose value on this phone is none of those that the play left them with. */
export function lostWrites(report: PlayReport, phone: Phone): string[] {
  const lost: string[] = []
  for (const { doc, path, values } of report.expected.values()) {
    const holds = readField(phone.docs[doc], ...path)
    if (!values.some((v) => canonicalJson(v) === canonicalJson(holds))) lost.push(path.join('/'))
  }
  return lost
}

const clockText = (minutes: number): string => {
  const whole = Math.floor(minutes)
  const seconds = Math.round((minutes - whole) * 60)
  return `+${String(whole).padStart(2, '0')}:${String(seconds).padStart(2, '0')}`
}

/** Follows which value each field must hold at the end, with phones away for a while. */
class WrittenFields {
  readonly expected = new Map<
    string,
    { doc: 'kit' | 'meeting'; path: [string, string, string]; values: Json[] }
  >()
  /** Per phone that is away: what it wrote, and what the others wrote meanwhile. */
  readonly #away = new Map<string, { own: EditOrigin['writes']; others: Set<string> }>()

  away(who: string): void {
    this.#away.set(who, { own: [], others: new Set() })
  }

  back(who: string): void {
    const { own, others } = this.#away.get(who) ?? { own: [], others: new Set() }
    this.#away.delete(who)
    for (const w of own) {
      const before = others.has(keyOf(w)) ? (this.expected.get(keyOf(w))?.values ?? []) : []
      this.#set(w, [...before, w.after])
    }
  }

  wrote(who: string, { writes }: EditOrigin): void {
    const mine = this.#away.get(who)
    for (const w of writes) {
      if (mine) mine.own = [...mine.own.filter((o) => keyOf(o) !== keyOf(w)), w]
      else {
        this.#set(w, [w.after])
        for (const a of this.#away.values()) a.others.add(keyOf(w))
      }
    }
  }

  #set(w: EditOrigin['writes'][number], values: Json[]) {
    this.expected.set(keyOf(w), { doc: w.doc, path: [w.collection, w.recordId, w.field], values })
  }
}
const keyOf = (w: { doc: string; collection: string; recordId: string; field: string }) =>
  `${w.doc}/${w.collection}/${w.recordId}/${w.field}`
