import type { ClosingHint, TrackSketch } from '@/lib/card'
import { tidy } from '@/lib/core/parse-number'
import { pieceName } from './piece-name'

/** How far the end lies from the start, and which way it faces, in a sentence. */
export function closingWords(s: Pick<TrackSketch, 'closes' | 'gapM' | 'headingOffDeg'>): string {
  const gap = `the end is ${s.gapM.toFixed(1)} m from the start`
  if (s.closes) return `The lap closes: ${gap}.`
  const off = Math.round(Math.abs(s.headingOffDeg))
  const facing =
    off === 0
      ? ' and faces the right way. A length or a radius is off'
      : ` and faces ${off}° too far to the ${s.headingOffDeg > 0 ? 'left' : 'right'}. An arc or a direction is off`
  return `The lap does not close: ${gap}${facing}.`
}

/** One measure that would close it, as in “3 Triple: length 17 m instead of 71 m”. */
export function hintWords(
  hint: ClosingHint,
  { pieces }: Pick<TrackSketch, 'pieces'>,
  now: { lengthM?: number; radiusM?: number; arcDegrees?: number },
): string {
  const piece = pieces[hint.index]
  const who = piece ? pieceName(piece.name, piece.kind, hint.index) : String(hint.index + 1)
  const left = hint.gapM < 0.05 ? '' : `, and ${hint.gapM.toFixed(1)} m would be left`
  if (typeof hint.value === 'string') return `${who}: ${hint.value} instead of ${other(hint.value)}${left}`
  const was = hint.field === 'turn' ? undefined : now[hint.field]
  const [word, unit] =
    hint.field === 'lengthM' ? ['length', ' m'] : hint.field === 'radiusM' ? ['radius', ' m'] : ['arc', '°']
  return `${who}: ${word} ${tidy(hint.value)}${unit}${was === undefined ? '' : ` instead of ${tidy(was)}${unit}`}${left}`
}

const other = (turn: 'left' | 'right') => (turn === 'left' ? 'right' : 'left')
