import { judged, judgeNext, judgeTrial, type Judged, type Known } from '../referee/judge'
import { keptSeasons } from '../referee/kept-seasons'
import { verdictSeed } from '../referee/verdict-seeds'

/**
 * Prints how the cards' 90% intervals hold what the referee drives, beside their goals; ends with 1 where one is missed.
 * `--seasons N` (200), `--first SEED`. Seasons are kept in the system's temporary folder: the first time costs some seconds each.
 */
const option = (name: string): string | undefined => {
  const i = process.argv.indexOf(`--${name}`)
  return i < 0 ? undefined : process.argv[i + 1]
}
const wanted = Number(option('seasons') ?? 200)
const first = Number(option('first') ?? verdictSeed)
const kept = keptSeasons(first, wanted)
console.log(`Referee: ${kept.length} seasons, seeds from ${kept[0]?.seed ?? first}`)

let missed = 0
const goal = (fits: boolean): string => {
  if (!fits) missed++
  return fits ? '' : '   MISSED'
}
const median = (xs: number[]): number =>
  [...xs].sort((a, b) => a - b)[Math.floor(xs.length / 2)] ?? Number.NaN
const percent = (x: number) => `${(100 * x).toFixed(1)}%`

const KNOWN: readonly (readonly [number, Known, string])[] = [
  [0, 'all', 'no known run'],
  ...[1, 3, 5].map((n) => [n, 'all', `${n} known runs with every figure read`] as const),
  ...[1, 3, 5].map((n) => [n, 'typed', `${n} known runs with charge put back, can and lap alone`] as const),
]
for (const [count, known, words] of KNOWN) {
  const held: Partial<Record<Judged, number>> = {}
  const halves: Partial<Record<Judged, number[]>> = {}
  const offs: Partial<Record<Judged, number[]>> = {}
  let told = 0
  for (const one of kept) {
    const verdict = judgeNext(one, count, known)
    if (!verdict) continue
    told++
    for (const [id] of judged) {
      const v = verdict[id]
      held[id] = (held[id] ?? 0) + (v.held ? 1 : 0)
      ;(halves[id] ??= []).push(v.relative)
      ;(offs[id] ??= []).push(v.off)
    }
  }
  console.log(`  ${words}, next run two pinion teeth away (${told} cards)`)
  for (const [id] of judged) {
    const share = (held[id] ?? 0) / told
    const half = median(halves[id] ?? [])
    const width = id === 'chargeUsed' && count >= 3 ? (count >= 5 ? 0.09 : 0.12) : undefined
    console.log(
      `    ${id.padEnd(14)} held ${percent(share).padStart(7)} (goal 85 to 95%)${goal(share >= 0.85 && share <= 0.95)}` +
        `   half width ${percent(half)}${width ? ` (goal ${percent(width)} or less)${goal(half <= width)}` : ''}` +
        `   off on average ${median(offs[id] ?? []).toFixed(2)} half widths`,
    )
  }
}

/** Saying nothing is never wrong: of the trials at least this share must be told with a sign. */
const TOLD_AT_LEAST = 0.2
let clear = 0
let right = 0
let trials = 0
for (const one of kept) {
  const t = judgeTrial(one)
  if (!t) continue
  trials++
  if (Math.abs(t.shown) <= t.plusMinus) continue
  clear++
  if (Math.sign(t.shown) === Math.sign(t.true)) right++
}
console.log(
  `  what-if, another pinion or winding: ${trials} trials, ${clear} told with a sign (goal ${percent(TOLD_AT_LEAST)} or more)${goal(clear >= TOLD_AT_LEAST * trials)}, ${clear ? percent(right / clear) : '–'} of them right (goal 95%)${goal(clear > 0 && right / clear >= 0.95)}; ${trials - clear} too close to call`,
)
process.exitCode = missed ? 1 : 0
