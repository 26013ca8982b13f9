import type { BoardView } from '../board/board-view'
import { ruleFields } from '../board/rules'
import type { Json } from '../core/json'
import { classKey, fold } from '../board/fold-name'
import { NEW_CLASS, type ClassQuestion, type ImportChoices } from './import-plan'
import { badRow, type RowProblem } from '../tables/row-problem'
import type { RunningOrder } from './running-order'
import { stableId } from './stable-id'

/** Every class text of the file with the class of the meeting that it means, as chosen or as found by its name. */
export function resolveClasses(
  view: BoardView,
  order: RunningOrder,
  choices: ImportChoices,
): ClassQuestion[] {
  const questions = new Map<string, ClassQuestion>()
  const isLive = (id: string | undefined) => view.classes.live.some((c) => c.id === id)
  for (const heat of order.heats) {
    if (heat.isBreak) continue
    const key = classKey(heat.classText)
    const known = questions.get(key)
    if (known) {
      known.heats += 1
      continue
    }
    const chosen = choices.classes[key]
    const valid = chosen === NEW_CLASS || isLive(chosen)
    const found = classNamed(view, heat.classText)
    questions.set(key, {
      key,
      text: heat.classText,
      // "Add as new" was said before the class was there: it now means that class.
      answer:
        chosen === NEW_CLASS && isLive(newClassId(heat.classText))
          ? newClassId(heat.classText)
          : chosen && valid
            ? chosen
            : found,
      guessed: !chosen && found !== null,
      heats: 1,
      firstLine: heat.line,
    })
  }
  return [...questions.values()]
}

/** A class of the same name, or the only one whose words the text abbreviates ("4WD mod." for "4WD modified"). */
function classNamed(view: BoardView, text: string): string | null {
  const key = classKey(text)
  if (key === '') return null
  const live = view.classes.live.filter((c) => c.name)
  const same = live.find((c) => classKey(c.name ?? '') === key)
  if (same) return same.id
  const words = key.split(' ')
  const short = live.filter((c) => {
    const full = classKey(c.name ?? '').split(' ')
    return (
      full.length === words.length && words.every((w) => full.some((f) => w.length > 1 && f.startsWith(w)))
    )
  })
  return short.length === 1 ? (short[0]?.id ?? null) : null
}

export const newClassId = (text: string): string => stableId('class', classKey(text))

/** A new class takes its rules from the kit's rule sheet of the same name, or else what its name says. */
export function newClassFields(view: BoardView, text: string): Record<string, Json> {
  const sheet = view.ruleSheets.live.find((s) => classKey(s.name ?? '') === classKey(text))
  if (sheet) {
    const copied: Record<string, Json> = { ruleSheetId: sheet.id }
    for (const field of Object.keys(ruleFields) as (keyof typeof ruleFields)[]) {
      const value = sheet[field]
      if (value !== undefined) copied[field] = value
    }
    return { ...copied, name: text.slice(0, 80) }
  }
  const folded = fold(text)
  const drive = /\b4 ?(?:wd|x4)\b/.test(folded) ? '4wd' : /\b2 ?(?:wd|x2)\b/.test(folded) ? '2wd' : null
  const limit = /\bmod(?:ified)?\b/.test(folded) ? 'modified' : /\bstock\b/.test(folded) ? 'stock' : null
  return {
    name: text.slice(0, 80),
    ...(drive && { drive }),
    ...(limit && { motorLimit: limit }),
  }
}

/** The rows of heats whose class nobody has named yet. */
export function classProblems(order: RunningOrder, classes: readonly ClassQuestion[]): RowProblem[] {
  const open = new Map(classes.filter((c) => c.answer === null).map((c) => [c.key, c]))
  return order.heats.flatMap((heat) => {
    const question = heat.isBreak ? undefined : open.get(classKey(heat.classText))
    if (!question) return []
    const lines = [...new Set([heat.line, ...heat.entries.map((e) => e.line)])].sort((a, b) => a - b)
    return runsOf(lines).map(([from, to]) => ({
      ...badRow(
        from,
        'Class',
        heat.classText,
        heat.classText === '' ? 'is missing' : 'is not a class of this meeting',
        heat.classText === ''
          ? 'Choose a class for rows without one.'
          : 'Choose its class under “Classes”, or add it as a new one.',
      ),
      ...(to > from && { lastLine: to }),
    }))
  })
}

function runsOf(lines: readonly number[]): [number, number][] {
  const runs: [number, number][] = []
  for (const line of lines) {
    const last = runs.at(-1)
    if (last && line === last[1] + 1) last[1] = line
    else runs.push([line, line])
  }
  return runs
}
