import { fold, roundKey } from '../board/fold-name'
import { readFinal, readFinalName } from '../board/read-final'
import { readWhen, type DateOrder, type When } from './planned-time'

/** What a line between the rows says about the rows below it, such as "Heat 5 – 4WD modified – 11:20". */
export interface SectionLine {
  kind: 'heat' | 'round' | 'day' | 'break'
  heat?: HeatName
  round?: string
  classText?: string
  when?: When
  /** What a break is called. */
  label?: string
  /** A part that looks like a time or a date and is none. */
  unreadable?: string
}

export interface HeatName {
  number: number
  /** As printed, when it is more than a number: "A final". */
  label?: string
  round?: string
}

/** Does a folded text name a break or other work between heats? Common practice, no source. */
export const isBreakText = (folded: string): boolean => BREAK.test(folded)
const BREAK =
  /\b(?:break|lunch|pause|pauze|interval|track (?:work|maintenance|care|watering)|drivers? (?:meeting|briefing)|mittag|opening|prize ?giving)\b/
const PARTS = /\s+[–—-]+\s+|\s*[|•·;]\s*|\s*,\s+|\t/

/** Reads a heat's name as a column prints it: `5`, `Heat 5`, `R2 H5`, `A`, `B final`, `A main leg 2`. Null when it names no heat. */
export function readHeatName(text: string): HeatName | null {
  // A mark such as "5?" is somebody's doubt, not a number.
  if (/[?!*]/.test(text)) return null
  const folded = fold(text)
  const compact = /^(?:round |rd |r)0*(\d{1,2}) ?(?:heat|h) ?0*(\d{1,4})$/.exec(folded)
  if (compact) return { number: Number(compact[2]), round: `Round ${compact[1]}` }
  const numbered = /^(?:heat|race|group|gruppe|groep|lauf|serie|h|no|nr)? ?0*(\d{1,4})(?: of \d+)?$/.exec(
    folded,
  )
  if (numbered) return { number: Number(numbered[1]) }
  const final = folded.length === 1 ? readFinalName(folded) : readFinal(text)
  return final?.letter && final.rest === '' ? finalName(final.letter, final.leg) : null
}

const finalName = (letter: string, leg: number | null): HeatName => ({
  number: letter.charCodeAt(0) - 64,
  label: `${letter} final`,
  ...(leg && { round: `Finals leg ${leg}` }),
})

/** Reads the text of a line that is not a row of the table. Null when it says nothing about heats, rounds, days or breaks. */
export function readSectionLine(text: string, order: DateOrder = 'day-first'): SectionLine | null {
  const out: Partial<SectionLine> = {}
  const left: string[] = []
  // Before the line is taken apart, since a leg may stand in a part of its own.
  const final = readFinal(text)
  for (const part of splitParts(final?.letter ? final.rest : text)) readPart(part, out, left, order)
  if (final?.letter) out.heat = finalName(final.letter, final.leg)
  const rest = left
    .join(' ')
    .replace(/[()[\]]|:(?!\d)/g, ' ')
    .replace(/\s+/g, ' ')
    .trim()
  if (!out.heat && isBreakText(fold(text))) {
    const { when, unreadable } = out
    return {
      kind: 'break',
      label: breakLabel(text, order),
      ...(when && { when }),
      ...(unreadable && { unreadable }),
    }
  }
  if (out.heat) return { kind: 'heat', ...out, ...(rest && { classText: rest }) }
  if (out.round) return { kind: 'round', ...out, ...(rest && { classText: rest }) }
  if (out.when && rest === '' && !out.when.clock) return { kind: 'day', when: out.when }
  return null
}

/** A break is called what the line says, without its time and without the round it follows. */
function breakLabel(text: string, order: DateOrder): string {
  const parts = text
    .split(/\s+[–—-]+\s+|\t/)
    .map((p) => p.replace(/\s*\d{1,2}[:.]\d{2}\s*(?:[ap]\.?m\.?)?$/i, '').trim())
  const telling = parts.filter(
    (p) => p !== '' && !readWhen(p, order).ok && !/^(?:qualifying|practice) \d+$/.test(roundKey(p)),
  )
  return telling.join(' – ') || text.trim()
}

const splitParts = (text: string): string[] =>
  text
    .split(PARTS)
    .map((p) => p.trim())
    .filter((p) => p !== '')

function readPart(part: string, out: Partial<SectionLine>, left: string[], order: DateOrder): void {
  let rest = part.replace(/[()[\]]/g, ' ').trim()
  const take = (pattern: RegExp): RegExpExecArray | null => {
    const m = pattern.exec(rest)
    if (m) rest = `${rest.slice(0, m.index)} ${rest.slice(m.index + m[0].length)}`.trim()
    return m
  }
  const when = readWhen(rest, order)
  if (when.ok) {
    out.when = { ...out.when, ...when.value }
    return
  }
  const heat = take(
    /\b(?:heat|race|group|gruppe|groep|lauf)\s*(?:no\.?|nr\.?|#)?\s*0*(\d{1,4})\b(?:\s*(?:of|\/)\s*\d+)?/i,
  )
  if (heat) out.heat = { number: Number(heat[1]), ...out.heat }
  const round = take(
    /\b((?:qualifying|qualifier|practice|free practice)\s*(?:round)?\s*\d{0,2}|(?:round|rd\.?)\s*\d{1,2}|[qr]\d{1,2}|finals(?:\s+leg\s+\d)?)\b/i,
  )
  if (round && !out.round) out.round = capitalised((round[1] ?? '').replace(/\s+/g, ' ').trim())
  // "1:10 buggy" names a scale, not ten past one.
  const clock = take(
    /(?!1:(?:8|10|12)\s+(?![ap]\.?m)\p{L}|1:(?:8|10|12)\s+\d)(?<![\d.:])\d{1,2}[:.h]\d{2}(?:[:.]\d{2})?\s*(?:[ap]\.?m\.?)?(?!\w)/iu,
  )
  if (clock) {
    const read = readWhen(clock[0], order)
    if (read.ok) out.when = { ...out.when, ...read.value }
    else out.unreadable = clock[0].trim()
  }
  rest = rest
    .replace(/\b(?:start|starts|at|start time)\b[: ]*$/i, '')
    .replace(/^[:\s]+|[:\s]+$/g, '')
    .trim()
  if (rest !== '') left.push(rest)
}

const capitalised = (s: string) => s.charAt(0).toUpperCase() + s.slice(1)
