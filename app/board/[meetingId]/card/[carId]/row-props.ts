import { canWrite, joinId, type EditContext } from '@/lib/board'
import { waitsForReading, type CardRow } from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'
import { agoText, timeText } from '@/app/ui'
import type { CardRowProps } from './card-row'

const DAY_MS = 24 * 3600_000

/** Who looks, and when. */
export interface RowContext {
  ctx: EditContext
  /** Of the session. */
  me: string
  now: number
  nameOf: (personId: string) => string
}

/** A row of the card as plain props. */
export function rowProps(
  from: RowContext,
  carId: string,
  row: CardRow,
): Omit<CardRowProps, 'isCurrent' | 'onAct'> {
  const { parameter: p, value, assigned, fitted } = row
  const recordId = joinId(carId, p.id)
  const stamps = [value?.assigned, value?.fitted, value?.cycled, value?.readBack].filter(
    (s) => s !== undefined,
  )
  const last = stamps.reduce<(typeof stamps)[number] | undefined>(
    (a, b) => (a && a.at >= b.at ? a : b),
    undefined,
  )
  return {
    id: p.id,
    recordId,
    label: p.label,
    unit: p.unit,
    isText: p.kind === 'text',
    needsReadBack: p.needsReadBack,
    isUnread: waitsForReading(row),
    cycled: row.cycled,
    state: row.state,
    assigned: assigned === null ? null : settingText(assigned),
    fitted: fitted === null ? null : settingText(fitted),
    detail: detailOf(from, row),
    cannot: row.cannot,
    mayFit: canWrite(from.ctx, 'meeting', 'cardValues', recordId, 'fitted'),
    touchedAt: last?.at ?? 0,
    touchedBy: !last || last.by === from.me ? null : from.nameOf(last.by),
  }
}

/** The one line under a value: the latest word on it, by whom, when, and why. */
function detailOf({ nameOf, now }: RowContext, row: CardRow): string {
  const { value, state, parameter } = row
  const by = (s: { by: string; at: number } | undefined, what: string) =>
    s ? `${what} ${nameOf(s.by)} ${now - s.at < DAY_MS ? timeText(s.at) : agoText(s.at, now)}` : ''
  const why = value?.assigned?.why ? `: “${value.assigned.why}”` : ''
  switch (state) {
    case 'equal':
      return parameter.needsReadBack ? by(value?.readBack, 'read back') : by(value?.fitted, 'fitted')
    case 'not-read-back':
      return row.cycled
        ? `${by(value?.cycled, 'off and on again')}, not read back`
        : `${by(value?.fitted, 'dialed in')}, not switched off since`
    case 'differs':
      return `${by(value?.assigned, 'asked by')}${why}`
    case 'not-fitted':
      return `${by(value?.assigned, 'asked by')}${why}`
    case 'unassigned':
      return by(value?.fitted, 'fitted')
    case 'empty':
      return ''
  }
}
