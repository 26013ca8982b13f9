'use client'
import { memo, type KeyboardEvent } from 'react'
import type { RowState } from '@/lib/card'
import { withUnit as withUnitText } from '@/lib/core/figure-text'
import { SavedMark } from '@/app/sync'
import { Button, ChangeFlash, Unit } from '@/app/ui'

/** What a row asks its card to do. */
export type RowAct =
  'open' | 'assign' | 'fit' | 'fit-other' | 'power-cycle' | 'read-back' | 'cannot' | 'history'

export interface CardRowProps {
  /** The card parameter's id: also the row's anchor on the page. */
  id: string
  recordId: string
  label: string
  unit: string
  isText: boolean
  needsReadBack: boolean
  /** Dialled in, not proven saved. */
  isUnread: boolean
  /** The car was off since it was dialed in. */
  cycled: boolean
  state: RowState
  /** Formatted; null is nothing. */
  assigned: string | null
  fitted: string | null
  detail: string
  cannot: string | null
  mayFit: boolean
  /** The latest of its stamps, ms. */
  touchedAt: number
  /** Somebody else who changed it last. */
  touchedBy: string | null
  /** The one row that Tab reaches; arrow keys move from there. */
  isCurrent: boolean
  onAct: (parameterId: string, act: RowAct) => void
}

const STATE_WORDS: Record<RowState, string> = {
  empty: 'nothing assigned, nothing fitted',
  equal: 'fitted as assigned',
  'not-read-back': 'fitted, not read back after a power cycle',
  differs: 'fitted differs from assigned',
  'not-fitted': 'assigned, not fitted',
  unassigned: 'fitted, nothing assigned',
}

/** One letter per act, while the row has the focus. Shown in the card's help. */
export const ROW_KEYS: Record<string, RowAct> = {
  a: 'assign',
  f: 'fit-other',
  c: 'cannot',
  r: 'read-back',
  h: 'history',
}

/** One value: equal is one quiet figure, different is the loudest thing on the card. Takes plain props only, so that an edit redraws one row. */
export const CardRow = memo(function CardRow(p: CardRowProps) {
  const loose = p.state === 'differs' || p.state === 'not-fitted'
  const unread = p.isUnread
  const withUnit = (v: string | null) => (v === null ? '' : withUnitText(v, p.unit))
  const first: RowAct =
    loose && p.mayFit ? 'fit' : unread && p.mayFit ? (p.cycled ? 'read-back' : 'power-cycle') : 'open'

  const onKeyDown = (e: KeyboardEvent) => {
    if (e.metaKey || e.ctrlKey || e.altKey || e.repeat) return
    const act = e.key === 'Enter' ? first : ROW_KEYS[e.key]
    if (!act) return
    e.preventDefault()
    e.stopPropagation()
    p.onAct(p.id, act)
  }
  const figure = (v: string | null) =>
    v === null ? (
      <span aria-label="nothing">–</span>
    ) : (
      <>
        {v}
        <Unit of={p.unit} />
      </>
    )
  const mark = (field: string | string[]) => (
    <SavedMark doc="meeting" collection="cardValues" recordId={p.recordId} field={field} />
  )
  return (
    <ChangeFlash watch={p.touchedAt} by={p.touchedBy}>
      <div
        className="value-row card-row"
        id={p.id}
        data-state={p.state}
        data-text={p.isText ? '' : undefined}
        role="group"
        aria-label={`${p.label}: ${STATE_WORDS[p.state]}`}
      >
        <button
          type="button"
          className="row-face"
          data-row={p.id}
          tabIndex={p.isCurrent ? 0 : -1}
          aria-haspopup="dialog"
          onClick={() => p.onAct(p.id, 'open')}
          onKeyDown={onKeyDown}
        >
          <span className="row-label">{p.label}</span>
          {p.detail && <span className="small row-detail">{p.detail}</span>}
        </button>
        <div className="value-cell num">
          <span className="visually-hidden">assigned </span>
          {figure(p.assigned)}
          {(loose || unread) && <small>{mark('assigned')}</small>}
        </div>
        <div className="value-cell value-fitted num">
          <span className="visually-hidden">fitted </span>
          {p.state === 'equal' ? 'same' : figure(p.fitted)}
          {p.state === 'equal' ? <> {mark(['assigned', 'fitted', 'cycled', 'readBack'])}</> : null}
          {p.state !== 'equal' && p.fitted !== null && (
            <small>{mark(['fitted', 'cycled', 'readBack'])}</small>
          )}
        </div>
        {p.cannot && (
          <p className="row-cannot">
            <b>Can’t be fitted:</b> {p.cannot}
          </p>
        )}
        {(loose || unread) && p.mayFit && (
          <div className="value-acts btn-row">
            {loose && (
              <Button look="do" onPress={() => p.onAct(p.id, 'fit')}>
                {withUnit(p.assigned)} is fitted
              </Button>
            )}
            {unread && p.cycled && (
              <Button look="do" onPress={() => p.onAct(p.id, 'read-back')}>
                Reads {withUnit(p.fitted)} after power cycle
              </Button>
            )}
            <Button onPress={() => p.onAct(p.id, 'fit-other')}>
              {unread && p.cycled ? 'Reads another value' : 'Another value is fitted'}
            </Button>
            {loose && !p.cannot && <Button onPress={() => p.onAct(p.id, 'cannot')}>Can’t be fitted</Button>}
          </div>
        )}
      </div>
    </ChangeFlash>
  )
})
