import { checkSetting, parameterOf, type BoardView, type KitRecord } from '../board'
import { cardRow, ranWith, remarksOf, type RunInfo } from '../card'
import { z90 } from '../setup-math'

export interface ThumbSuggestion {
  rule: KitRecord<'rulesOfThumb'>
  /** The driver's word that it answers. */
  word: string
  /** At this meeting: how often the team changed that value that way after that word, and how often the word was weaker or gone in the car's next run. */
  tried: number
  better: number
  /** 90% interval of the share that got better; null before the first try. */
  interval: { low: number; high: number } | null
  /** One step of the value that way; null where the card does not say what it is, or the range ends. */
  change: { parameterId: string; label: string; unit: string; from: number; to: number } | null
}

/** The rules that answer what the driver said after a car's last run, those that have worked at this meeting first. */
export function thumbSuggestions(
  view: BoardView,
  runs: readonly RunInfo[],
  carId: string,
): ThumbSuggestion[] {
  const done = runs.filter((r) => r.state === 'finished')
  const last = done.findLast((r) => r.carId === carId && isDebriefed(view, r))
  if (!last) return []
  const said = strengths(view, last.runId)
  return view.rulesOfThumb.live
    .filter((rule) => rule.wordId !== undefined && (said.get(rule.wordId) ?? 0) > 0)
    .map((rule): ThumbSuggestion => {
      const { tried, better } = countsOf(view, done, rule)
      return {
        rule,
        word: view.handlingWords.get(rule.wordId)?.name ?? 'a removed word',
        tried,
        better,
        interval: tried > 0 ? wilson(better, tried) : null,
        change: changeOf(view, carId, rule),
      }
    })
    .sort(
      (a, b) =>
        (b.better + 1) / (b.tried + 2) - (a.better + 1) / (a.tried + 2) ||
        (said.get(b.rule.wordId ?? '') ?? 0) - (said.get(a.rule.wordId ?? '') ?? 0) ||
        (a.rule.order ?? 0) - (b.rule.order ?? 0) ||
        (a.rule.id < b.rule.id ? -1 : 1),
    )
}

/** Every car's runs, one after the other: was the value changed that way after the word, and was the word weaker then? */
function countsOf(
  view: BoardView,
  done: readonly RunInfo[],
  rule: KitRecord<'rulesOfThumb'>,
): { tried: number; better: number } {
  const { parameter, direction, wordId } = rule
  let [tried, better] = [0, 0]
  if (!parameter || !direction || !wordId) return { tried, better }
  const before = new Map<string, RunInfo>()
  for (const run of done) {
    const was = before.get(run.carId)
    before.set(run.carId, run)
    if (!was || !isDebriefed(view, was) || !isDebriefed(view, run)) continue
    const felt = strengths(view, was.runId).get(wordId) ?? 0
    const [from, to] = [valueIn(was, parameter), valueIn(run, parameter)]
    if (felt === 0 || from === null || to === null || from === to || to > from !== (direction === 'up'))
      continue
    tried++
    if ((strengths(view, run.runId).get(wordId) ?? 0) < felt) better++
  }
  return { tried, better }
}

/** Somebody asked the driver: a run of which nothing was said tells nothing. */
const isDebriefed = (view: BoardView, { runId }: RunInfo): boolean =>
  typeof view.runs.get(runId)?.feel?.v === 'number' || remarksOf(view, runId).length > 0

/** How strong each word was said of a run, at its strongest. */
function strengths(view: BoardView, runId: string): Map<string, number> {
  const out = new Map<string, number>()
  for (const { said } of remarksOf(view, runId))
    out.set(said.v.wordId, Math.max(out.get(said.v.wordId) ?? 0, said.v.strength))
  return out
}

function valueIn({ run }: RunInfo, parameter: string): number | null {
  const value = ranWith(run, parameter)
  return typeof value === 'number' ? value : null
}

function changeOf(
  view: BoardView,
  carId: string,
  { parameter, direction }: KitRecord<'rulesOfThumb'>,
): ThumbSuggestion['change'] {
  const p = parameter && parameterOf(view, carId, parameter)
  if (!p || !direction) return null
  const row = cardRow(view, carId, p)
  const from = row.assigned ?? row.fitted
  if (typeof from !== 'number') return null
  // A step of a spring or an oil is none on the car: a tenth of the value at least.
  const step = p.step ?? 1
  const size = step * Math.max(1, Math.round(Math.abs(from) / 10 / step))
  const to = Number((from + (direction === 'up' ? size : -size)).toPrecision(10))
  return checkSetting(p, to).ok ? { parameterId: p.id, label: p.label, unit: p.unit, from, to } : null
}

/**
 * 90% interval of a share. Source: Wilson, JASA 22 (1927) 209-212, as in the NIST/SEMATECH e-Handbook 7.2.4.1.
 * @example wilson(2, 3) // { low: 0.26, high: 0.92 }
 */
export function wilson(hits: number, tries: number): { low: number; high: number } {
  const z2 = z90 ** 2
  const share = hits / tries
  const middle = (share + z2 / (2 * tries)) / (1 + z2 / tries)
  const half = Math.sqrt((z2 * share * (1 - share)) / tries + z2 ** 2 / (4 * tries ** 2)) / (1 + z2 / tries)
  return { low: Math.max(0, middle - half), high: Math.min(1, middle + half) }
}
