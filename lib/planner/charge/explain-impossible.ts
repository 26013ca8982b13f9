import { listText } from '../../core/list-text'
import type { FactId } from './charge-instance'
import { chargeInstance } from './charge-instance'
import type { ChargePlanInput, ChargeRun } from './charge-types'
import type { MilpSolver } from '../solver/milp'
import { planExists } from './solve-charge-plan'

export interface Fact {
  id: FactId
  words: string
}

export interface Impossibility {
  /** Facts that together leave no plan; without any one of them there is one (when `irreducible`). */
  facts: Fact[]
  /** The same in one or two sentences. */
  words: string
  /** False when time ran out before every fact was tried; the facts are impossible together all the same. */
  irreducible: boolean
}

export interface ExplainOptions {
  timeLimitSeconds: number
  /** How times of day are written; UTC hours and minutes when absent. */
  timeOfDay?: (ms: number) => string
}

const utcTime = (ms: number): string => new Date(ms).toISOString().slice(11, 16)

/** Every fact of the day that could be set aside, those that people argue about last. */
export function factsOf(input: ChargePlanInput): FactId[] {
  const { rules } = input
  return [
    'held',
    ...(rules.restSeconds > 0 ? ['rest'] : []),
    ...(rules.handsPerStep !== null ? ['hands'] : []),
    ...new Set(input.channels.map((c) => `supply:${c.supplyId}`)),
    ...input.packs.map((p) => `pack:${p.id}`),
    ...(rules.coolDownSeconds > 0 ? ['coolDown'] : []),
    ...chargeInstance(input).groups.map((g) => `channels:${g.id}`),
    ...input.pins.map((p) => `pin:${p.id}`),
    ...byTime(input).map((r) => `need:${r.id}`),
  ]
}

const byTime = (input: ChargePlanInput): ChargeRun[] => [...input.runs].sort((a, b) => a.readyBy - b.readyBy)

/**
 * Finds facts that together make a day impossible and of which none can be left out: a deletion filter (Chinneck &
 * Dravnieks, ORSA J. Computing 3 (1991) 157), each test a proof by the solver. Runs are narrowed down first, by
 * halves. Null when the day is not impossible, or could not be proven so in the time given.
 */
export function explainImpossible(
  input: ChargePlanInput,
  solver: MilpSolver,
  options: ExplainOptions,
): Impossibility | null {
  const begin = performance.now()
  const left = (): number => options.timeLimitSeconds - (performance.now() - begin) / 1000
  const dropped = new Set<FactId>()
  let irreducible = true
  /** Whether the day stays impossible without these facts too; drops them if so. */
  const dispensable = (facts: readonly FactId[]): boolean => {
    if (left() <= 0) {
      irreducible = false
      return false
    }
    const trial = new Set([...dropped, ...facts])
    const exists = planExists(input, solver, trial, left())
    if (exists === null) irreducible = false
    if (exists !== false) return false
    for (const f of facts) dropped.add(f)
    return true
  }
  if (!dispensable([])) return null

  // The shortest morning that is already impossible.
  const needs = byTime(input).map((r): FactId => `need:${r.id}`)
  let low = 1
  let high = needs.length
  while (low < high) {
    const mid = (low + high) >> 1
    if (dispensable(needs.slice(mid, high))) high = mid
    else low = mid + 1
  }
  dropInChunks(needs.slice(0, high), dispensable)
  const others = factsOf(input).filter((f) => !f.startsWith('need:'))
  dropInChunks(
    others.filter((f) => f.startsWith('pack:')),
    dispensable,
  )
  for (const fact of others) if (!fact.startsWith('pack:')) dispensable([fact])
  for (const fact of [...others.filter((f) => f.startsWith('pack:')), ...needs])
    if (!dropped.has(fact)) dispensable([fact])

  const time = options.timeOfDay ?? utcTime
  const kept = factsOf(input).filter((f) => !dropped.has(f))
  const facts = kept.map((id) => ({ id, words: factWords(input, id, time) }))
  return { facts, words: sentence(input, kept, time), irreducible }
}

/** Sets facts aside by halves: few tests when few are needed. */
function dropInChunks(facts: readonly FactId[], dispensable: (facts: readonly FactId[]) => boolean): void {
  if (facts.length === 0 || dispensable(facts) || facts.length === 1) return
  const mid = facts.length >> 1
  dropInChunks(facts.slice(0, mid), dispensable)
  dropInChunks(facts.slice(mid), dispensable)
}

const minutes = (seconds: number): string => `${Math.round(seconds / 60)} min`
const count = (n: number, one: string): string => `${n === 1 ? 'one' : n} ${one}${n === 1 ? '' : 's'}`

const packLabel = (input: ChargePlanInput, id: string): string =>
  input.packs.find((p) => p.id === id)?.label ?? id

function factWords(input: ChargePlanInput, id: FactId, time: (ms: number) => string): string {
  const { rules } = input
  const [kind = '', ...rest] = id.split(':')
  const of = rest.join(':')
  if (kind === 'need') {
    const run = input.runs.find((r) => r.id === of)
    if (!run) return id
    const fits = run.fits.map((f) => packLabel(input, f.packId))
    return `${run.label} needs a charged pack at ${time(run.readyBy)}; ${fits.length ? `${listText(fits)} ${fits.length === 1 ? 'fits' : 'fit'}` : 'none fits'}`
  }
  if (kind === 'pack') return `${packLabel(input, of)} can do only one thing at a time`
  if (kind === 'channels') {
    const group = chargeInstance(input).groups.find((g) => g.id === of)
    const labels = (group?.channelIds ?? []).map((c) => input.channels.find((x) => x.id === c)?.label ?? c)
    return labels.length === 1
      ? `Only ${listText(labels)} is there for charging, one pack at a time`
      : `Only ${listText(labels)} are there for charging, one pack each at a time`
  }
  if (kind === 'supply') {
    const supply = input.supplies.find((s) => s.id === of)
    return `${supply?.label ?? of} gives ${supply?.maxWatts ?? 0} W at most`
  }
  if (kind === 'pin') {
    const pin = input.pins.find((p) => p.id === of)
    const run = input.runs.find((r) => r.id === pin?.runId)
    const what = [
      pin?.packId ? `with ${packLabel(input, pin.packId)}` : '',
      pin?.channelId
        ? `on ${input.channels.find((c) => c.id === pin.channelId)?.label ?? pin.channelId}`
        : '',
      pin?.startAt !== undefined ? `charged from ${time(pin.startAt)}` : '',
    ].filter(Boolean)
    return `${run?.label ?? of} is pinned ${what.join(', ')}`
  }
  if (kind === 'hands')
    return `${count(rules.handsPerStep ?? 0, 'charge')} can be put on in ${minutes(rules.stepSeconds)}`
  if (kind === 'coolDown')
    return `A pack cools for ${minutes(rules.coolDownSeconds)} after a run before it is charged`
  if (kind === 'rest') return `A pack rests for ${minutes(rules.restSeconds)} after its charge`
  return `A pack sits full for ${minutes(rules.maxHeldSeconds)} at most`
}

/** The core of it first (who needs what when), then what is in the way. */
function sentence(input: ChargePlanInput, kept: readonly FactId[], time: (ms: number) => string): string {
  const runs = byTime(input).filter((r) => kept.includes(`need:${r.id}`))
  const packs = [...new Set(runs.flatMap((r) => r.fits.map((f) => f.packId)))].map((p) => packLabel(input, p))
  const moments = [...new Set(runs.map((r) => time(r.readyBy)))]
  const who = listText(runs.map((r) => r.label))
  const when = listText(moments)
  const [only] = runs
  const oneEach = runs.every((r) => r.fits.length === 1) && packs.length === runs.length && runs.length > 1
  const first =
    packs.length === 0
      ? `No pack fits ${who}.`
      : runs.length === 1 && only
        ? `No pack that fits ${only.label} (${listText(packs)}) can be ready at ${when}.`
        : oneEach
          ? `${listText(packs)} are ${runs.length === 2 ? 'both' : 'all'} needed at ${when}, for ${who}.`
          : `${who} need ${count(runs.length, 'charged pack')} at ${when}, from ${listText(packs)}.`
  const rest = kept.filter((f) => !f.startsWith('need:')).map((f) => factWords(input, f, time))
  const all = [first.slice(0, -1), ...rest].map((w) => w.charAt(0).toUpperCase() + w.slice(1))
  return `${all.join('. ')}.`
}
