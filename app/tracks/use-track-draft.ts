'use client'
import { unitBehind } from '@/lib/core/figure-text'
import { useState } from 'react'
import { useSpeedUnit } from '@/app/ui/speed-unit'
import { fromSpeedUnit, inSpeedUnit, type SpeedUnit } from '@/lib/core/speed-unit'
import { segmentSchema, type TrackSegment } from '@/lib/board'
import { newId } from '@/lib/core/id'
import { refuse, type Refusal } from '@/lib/core/result'
import { parseNumber, tidy } from '@/lib/core/parse-number'
import { pieceName } from './piece-name'

/** What the kit keeps of one track. */
export const MOST_PIECES = 60

export type PieceField = 'lengthM' | 'radiusM' | 'arcDegrees' | 'speedMps' | 'grip'

/** One piece of track while it is being typed. */
export interface PieceDraft {
  id: string
  kind: TrackSegment['kind']
  name: string
  turn: 'left' | 'right' | null
  /** As typed; the speed in the unit of this phone. */
  texts: Record<PieceField, string>
  /** The speed that the kit has, m/s: its text is rounded, and left alone it must not change. */
  savedMps?: number | undefined
}

export const PIECE_FIELDS: Record<PieceField, { label: string; unit: string; min: number; max: number }> = {
  lengthM: { label: 'Length', unit: 'm', min: 0.5, max: 200 },
  radiusM: { label: 'Radius', unit: 'm', min: 0.3, max: 50 },
  arcDegrees: { label: 'Arc', unit: '°', min: 1, max: 360 },
  /** m/s, as the kit keeps it. */
  speedMps: { label: 'Speed', unit: 'm/s', min: 0.5, max: 40 },
  grip: { label: 'Grip', unit: '', min: 0.2, max: 2 },
}

/** The same as this phone shows and takes it: speeds in its own unit. */
export function pieceField(field: PieceField, speeds: SpeedUnit): (typeof PIECE_FIELDS)[PieceField] {
  const own = PIECE_FIELDS[field]
  if (own.unit !== 'm/s') return own
  const rounded = (mps: number) => Number(inSpeedUnit(mps, speeds).toFixed(1))
  return { ...own, unit: speeds, min: rounded(own.min), max: rounded(own.max) }
}
export const fieldsOf = (kind: TrackSegment['kind']): readonly PieceField[] =>
  kind === 'straight' ? ['lengthM', 'grip'] : ['radiusM', 'arcDegrees', 'grip', 'speedMps']

const show = (v: number | undefined) => (v === undefined ? '' : tidy(v))
/** In m/s whole, in the others to a hundredth. */
const showSpeed = (mps: number | undefined, speeds: SpeedUnit) =>
  mps === undefined || speeds === 'm/s' ? show(mps) : tidy(Number(inSpeedUnit(mps, speeds).toFixed(2)))
const draftOf = (s: TrackSegment, speeds: SpeedUnit): PieceDraft => ({
  id: newId(),
  kind: s.kind,
  name: s.name ?? '',
  turn: s.turn ?? null,
  texts: {
    lengthM: show(s.lengthM),
    radiusM: show(s.radiusM),
    arcDegrees: show(s.arcDegrees),
    speedMps: showSpeed(s.speedMps, speeds),
    grip: show(s.grip),
  },
  savedMps: s.speedMps,
})

/** The typed speed, m/s: exactly the saved one while its text is untouched. */
function typedMps(d: PieceDraft, typed: number, speeds: SpeedUnit): number {
  if (d.savedMps !== undefined && d.texts.speedMps === showSpeed(d.savedMps, speeds)) return d.savedMps
  if (speeds === 'm/s') return typed
  const { min, max } = PIECE_FIELDS.speedMps
  return Number(Math.min(max, Math.max(min, fromSpeedUnit(typed, speeds))).toFixed(3))
}

/** A piece as the kit keeps it, or what is wrong with it, by field. */
export function readPiece(
  d: PieceDraft,
  place: number,
  speeds: SpeedUnit,
): { segment: TrackSegment | null; refusals: Partial<Record<PieceField, Refusal>> } {
  const refusals: Partial<Record<PieceField, Refusal>> = {}
  const values: Partial<Record<PieceField, number>> = {}
  const who = pieceName(d.name, d.kind, place - 1)
  for (const field of fieldsOf(d.kind)) {
    const { label, unit, min, max } = pieceField(field, speeds)
    const parsed = parseNumber(`${who}, ${label.toLowerCase()}`, d.texts[field], { min, max, unit })
    if (!parsed.ok) refusals[field] = parsed.error
    else if (parsed.value !== null)
      values[field] = field === 'speedMps' ? typedMps(d, parsed.value, speeds) : parsed.value
    else if (field !== 'speedMps')
      refusals[field] = refuse(
        `${who}, ${label.toLowerCase()}`,
        '',
        'is missing',
        `Enter ${min} to ${max}${unitBehind(unit)}.`,
      ).error
  }
  const read = segmentSchema.safeParse({
    kind: d.kind,
    ...(d.name.trim() && { name: d.name.trim() }),
    ...(d.kind === 'corner' && d.turn && { turn: d.turn }),
    ...values,
  })
  return { segment: Object.keys(refusals).length === 0 && read.success ? read.data : null, refusals }
}

function inOtherUnit(d: PieceDraft, from: SpeedUnit, to: SpeedUnit): PieceDraft {
  const typed = parseNumber('Speed', d.texts.speedMps)
  if (!typed.ok || typed.value === null) return d
  return { ...d, texts: { ...d.texts, speedMps: showSpeed(typedMps(d, typed.value, from), to) } }
}

/** The pieces of a track as they are being drawn; nothing is written until it is saved. */
export function useTrackDraft(saved: readonly TrackSegment[]) {
  const speeds = useSpeedUnit()
  const draft = (s: TrackSegment) => draftOf(s, speeds)
  const [drafts, setDrafts] = useState<readonly PieceDraft[]>(() => saved.map(draft))
  const [typedIn, setTypedIn] = useState(speeds)
  if (typedIn !== speeds) {
    // Another unit was chosen with the track open: what was typed so far means the same.
    setTypedIn(speeds)
    setDrafts(drafts.map((d) => inOtherUnit(d, typedIn, speeds)))
  }
  // Somebody else may save the track meanwhile: an untouched draft follows, a touched one keeps what was typed.
  const savedKey = JSON.stringify(saved)
  const [base, setBase] = useState(savedKey)
  const read = drafts.map((d, i) => readPiece(d, i + 1, typedIn))
  const segments = read.every((r) => r.segment) ? read.flatMap((r) => (r.segment ? [r.segment] : [])) : null
  const isTouched = segments === null || JSON.stringify(segments) !== base
  if (base !== savedKey && !isTouched) {
    setBase(savedKey)
    setDrafts(saved.map(draft))
  }
  const change = (id: string, by: Partial<PieceDraft>) =>
    setDrafts((all) => all.map((d) => (d.id === id ? { ...d, ...by } : d)))
  return {
    drafts,
    read,
    speeds,
    /** Null while a piece can't be. */
    segments,
    isTouched: isTouched && (segments === null || JSON.stringify(segments) !== savedKey),
    changedElsewhere: base !== savedKey,
    refusal: read.flatMap((r) => Object.values(r.refusals))[0] ?? null,
    change,
    setText: (id: string, field: PieceField, text: string) =>
      setDrafts((all) => all.map((d) => (d.id === id ? { ...d, texts: { ...d.texts, [field]: text } } : d))),
    add: (kind: TrackSegment['kind']) =>
      setDrafts((all) => [
        ...all,
        draft(
          kind === 'straight'
            ? { kind, lengthM: 15, grip: 1 }
            : { kind, radiusM: 3, arcDegrees: 90, grip: 1 },
        ),
      ]),
    /** A like piece right behind it. */
    duplicate: (id: string) =>
      setDrafts((all) => all.flatMap((d) => (d.id === id ? [d, { ...d, id: newId() }] : [d]))),
    remove: (id: string) => setDrafts((all) => all.filter((d) => d.id !== id)),
    move: (id: string, by: 1 | -1) =>
      setDrafts((all) => {
        const from = all.findIndex((d) => d.id === id)
        const to = from + by
        if (from < 0 || to < 0 || to >= all.length) return all
        const next = [...all]
        next.splice(to, 0, ...next.splice(from, 1))
        return next
      }),
    replace: (next: readonly TrackSegment[]) => setDrafts(next.map(draft)),
    settle: () => setBase(JSON.stringify(segments)),
    reset: () => {
      setBase(savedKey)
      setDrafts(saved.map(draft))
    },
  }
}
export type TrackDraft = ReturnType<typeof useTrackDraft>
