import type { ReactNode } from 'react'
import type { RowState } from '@/lib/card'
import { Unit } from './unit'

export interface ValueRowProps {
  label: ReactNode
  /** What screen readers call the row when `label` is more than text. */
  name?: string
  /** Who, when, why: the small line under the label. */
  detail?: ReactNode
  state: RowState
  /** Formatted; null shows a dash. */
  assigned: string | null
  fitted: string | null
  unit?: string
  /** `SavedMark`s, beside each value. */
  assignedMark?: ReactNode
  fittedMark?: ReactNode
  /** What can be done about it: one `Button look="do"` first. */
  acts?: ReactNode
  id?: string
}

const WORDS: Record<RowState, string> = {
  empty: 'nothing assigned, nothing fitted',
  equal: 'fitted as assigned',
  'not-read-back': 'fitted, not read back after a power cycle',
  differs: 'fitted differs from assigned',
  'not-fitted': 'assigned, not fitted',
  unassigned: 'fitted, nothing assigned',
}

/** One value of a card. Equal: one quiet value. Different: both stand, and nothing on the card is louder. */
export function ValueRow({
  label,
  name,
  detail,
  state,
  assigned,
  fitted,
  unit,
  assignedMark,
  fittedMark,
  acts,
  id,
}: ValueRowProps) {
  const withUnit = (value: string) => (
    <>
      {value}
      <Unit of={unit} />
    </>
  )
  return (
    <div
      className="value-row"
      data-state={state}
      id={id}
      role="group"
      aria-label={`${name ?? textOf(label)}: ${WORDS[state]}`}
    >
      <div className="value-label">
        {label}
        {detail && <div className="small">{detail}</div>}
      </div>
      <div className="value-cell num">
        <span className="visually-hidden">assigned </span>
        {assigned === null ? <span aria-label="nothing">–</span> : withUnit(assigned)}
        {assignedMark && <small>{assignedMark}</small>}
      </div>
      <div className="value-cell value-fitted num">
        <span className="visually-hidden">fitted </span>
        {state === 'equal' ? (
          'same'
        ) : fitted === null ? (
          <span aria-label="nothing">–</span>
        ) : (
          withUnit(fitted)
        )}
        {fittedMark && <small>{fittedMark}</small>}
      </div>
      {acts && <div className="value-acts btn-row">{acts}</div>}
    </div>
  )
}

const textOf = (node: ReactNode): string =>
  typeof node === 'string' || typeof node === 'number' ? String(node) : 'Value'

/** Group heading over value rows, with the two column heads that are the face of the card. */
export function ValueHead({ title, level = 2 }: { title: string; level?: 2 | 3 }) {
  const Title = `h${level}` as const
  return (
    <div className="value-head">
      <Title>{title}</Title>
      <span>assigned</span>
      <span>fitted</span>
    </div>
  )
}
