import type { TrackSegment } from '../../board'
import type { Refusal } from '../../core/result'
import { refuse } from '../../core/result'
import { RangeProblem, trackFromWalk, type WalkedStretch } from '../../setup-math'

export interface WalkedList {
  segments: TrackSegment[]
  lengthM: number
  gapM: number
  turnSumDeg: number
  /** Lines that can't be read, each named by its number. Nothing is taken while there is one. */
  problems: Refusal[]
}

const LINE =
  /^(?<length>\d+(?:[.,]\d+)?)\s*(?:m\b|paces?\b)?\s*(?:(?<turn>left|right|l|r)\s*(?<degrees>\d+(?:[.,]\d+)?)\s*°?)?\s*(?:grip\s*(?<grip>\d+(?:[.,]\d+)?))?\s*(?<name>.*)$/i
const numberOf = (text: string | undefined): number | undefined =>
  text === undefined ? undefined : Number(text.replace(',', '.'))

/**
 * A track from a list that somebody wrote down while walking it, one line per piece in driving order: how long, which way and by how much it
 * turns, and what it is called. `unitM` is the length of one pace, or 1 for meters.
 *
 * @example walkedList('48 Seawall straight\n10 left 180 Sluice hairpin\n21 grip 0.9 Triple', 0.8)
 */
export function walkedList(text: string, unitM: number): WalkedList {
  const problems: Refusal[] = []
  const stretches: WalkedStretch[] = []
  text.split(/\r?\n/).forEach((raw, i) => {
    const line = raw.trim()
    if (line === '' || line.startsWith('#')) return
    const found = LINE.exec(line)?.groups
    const refuseLine = (reason: string, remedy: string) =>
      problems.push(refuse(`Line ${i + 1}`, line.slice(0, 60), reason, remedy).error)
    if (!found)
      return refuseLine(
        'does not start with a length',
        'Write it as in “21 Triple” or “10 left 180 Hairpin”.',
      )
    const length = numberOf(found['length']) ?? 0
    const degrees = numberOf(found['degrees'])
    const grip = numberOf(found['grip'])
    const m = length * unitM
    if (m < 0.5 || m > 200) return refuseLine(`is ${m.toFixed(1)} m long`, 'A piece is 0.5 to 200 m long.')
    if (degrees !== undefined && (degrees < 1 || degrees > 360))
      return refuseLine(`turns by ${degrees}°`, 'A corner turns by 1 to 360°.')
    if (grip !== undefined && (grip < 0.2 || grip > 2))
      return refuseLine(`has grip ${grip}`, 'Grip is 0.2 to 2, 1 where it is as on the rest of the track.')
    const radius = degrees === undefined ? 1 : m / ((degrees * Math.PI) / 180)
    if (radius < 0.3 || radius > 50)
      return refuseLine(
        `has a radius of ${radius.toFixed(1)} m`,
        'A corner’s radius is 0.3 to 50 m: check length and angle.',
      )
    const name = found['name']?.trim().slice(0, 40)
    stretches.push({
      paces: length,
      ...(degrees !== undefined && { turnDeg: /^l/i.test(found['turn'] ?? '') ? degrees : -degrees }),
      ...(grip !== undefined && { grip }),
      ...(name && { name }),
    })
  })
  if (stretches.length > 60)
    problems.push(
      refuse('List', `${stretches.length} pieces`, 'is too long', 'A track has up to 60 pieces.').error,
    )
  const nothing = { segments: [], lengthM: 0, gapM: 0, turnSumDeg: 0 }
  if (problems.length || stretches.length === 0) return { ...nothing, problems }
  try {
    const walked = trackFromWalk(stretches, { paceM: unitM })
    const segments = walked.track.segments.map((s, i): TrackSegment => {
      const rest = { ...(s.name !== undefined && { name: s.name }), grip: s.grip ?? 1 }
      return s.kind === 'straight'
        ? { kind: 'straight', lengthM: tidy(s.lengthM), ...rest }
        : {
            kind: 'corner',
            radiusM: tidy(s.radiusM),
            arcDegrees: s.arcDeg,
            turn: (stretches[i]?.turnDeg ?? 0) > 0 ? 'left' : 'right',
            ...rest,
          }
    })
    return { segments, lengthM: walked.lengthM, gapM: walked.gapM, turnSumDeg: walked.turnSumDeg, problems }
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    return {
      ...nothing,
      problems: [refuse(error.field, error.value, 'is not possible', `Must be ${error.range}.`).error],
    }
  }
}

/** To the centimetre: nobody paces better. */
const tidy = (m: number): number => Math.round(m * 100) / 100
